"""Plain pages of an archive: an index, and the life of each support.

HTML without scripts, styles from one small block, no address of any host: to be read
in any browser, or as text.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from html import escape
from typing import Any

from monitor.mechanics.screening import CAUTION

Row = Mapping[str, Any]  # JSON values by column
Tables = Mapping[str, Sequence[Row]]

_STYLE = (
    "body{font:1rem/1.5 serif;max-width:60rem;margin:2rem auto;padding:0 1rem}"
    "table{border-collapse:collapse;margin:.5rem 0 1.5rem}"
    "td,th{border:1px solid #888;padding:.2rem .5rem;text-align:left;"
    "vertical-align:top}img{max-width:20rem}.gone{text-decoration:line-through}"
)
_PAGE = (
    '<!doctype html><html lang="en"><meta charset="utf-8"><title>{title}</title>'
    "<style>{style}</style><h1>{title}</h1>{body}<p>{caution}</p></html>\n"
)


class Pages:
    """All pages of one archive.

    Parameters
    ----------
    tables : rows by table
    """

    def __init__(self, tables: Tables) -> None:
        self._rows = tables
        self._by: dict[tuple[str, str], dict[str, list[Row]]] = {}

    def supports(self) -> list[tuple[str, Row]]:
        """File name and row of each support, by code."""
        found = sorted(self._rows["support"], key=lambda row: str(row["code"]))
        return [(f"{number:05}.html", row) for number, row in enumerate(found, 1)]

    def index(self) -> str:
        """The first page: every support with its place and standing."""
        standing = {row["support_id"]: row for row in self._rows["standing"]}
        trees = {row["id"]: row for row in self._rows["tree"]}
        sites = {row["id"]: row for row in self._rows["site"]}
        lines = []
        for name, row in self.supports():
            tree = trees[row["tree_id"]]
            site = sites[tree["site_id"]]
            said = standing.get(row["id"], {}).get("standing", "")
            link = f'<a href="supports/{name}">{escape(row["code"])}</a>'
            cells = [site["name"], tree["species"], row["installed_on"], said]
            lines.append(f"<tr><td>{link}</td>{_cells(cells)}</tr>")
        head = _head(["support", "site", "tree", "installed", "stood, when archived"])
        return _page("The supports of this record", _table(head, lines))

    def support(self, row: Row) -> str:
        """The life of one support."""
        parts = [_list(row)]
        for member in self._of("member", "support_id", row["id"]):
            parts += [f"<h2>Member {escape(member['code'])}</h2>", _list(member)]
            parts.append(self._section("As built", self._facts(member)))
        parts += [
            self._section("Readings", self._readings(row)),
            self._section("Findings", self._findings(row)),
            self._section("Works", self._of("work", "support_id", row["id"])),
            self._section("Limits", self._limits(row)),
            self._section("Outlook", self._outlooks(row)),
            self._photos(row),
        ]
        return _page(f"Support {row['code']}", "".join(parts))

    def _of(self, table: str, column: str, key: object) -> Sequence[Row]:
        if (table, column) not in self._by:
            grouped: dict[str, list[Row]] = defaultdict(list)
            for row in self._rows[table]:
                grouped[row[column]].append(row)
            self._by[table, column] = grouped
        return self._by[table, column].get(str(key), ())

    def _inspections(self, support: Row) -> Iterator[Row]:
        superseded = {row["supersedes_id"] for row in self._rows["inspection"]}
        found = self._of("inspection", "support_id", support["id"])
        for row in sorted(found, key=lambda one: str(one["inspected_on"])):
            if row["id"] not in superseded:
                yield row

    def _limits(self, support: Row) -> Sequence[Row]:
        return self._of("limit_override", "support_id", support["id"])

    def _facts(self, member: Row) -> Iterator[Row]:
        for fact in self._of("fact", "member_id", member["id"]):
            yield _picked(fact, "name", "given", "number", "recorded_at")

    def _readings(self, support: Row) -> Iterator[Row]:
        marks = {row["id"]: row["code"] for row in self._rows["mark"]}
        replaced = {row["supersedes_id"] for row in self._rows["reading"]}
        for visit in self._inspections(support):
            for reading in self._of("reading", "inspection_id", visit["root_id"]):
                yield {
                    "day": visit["inspected_on"],
                    "by": visit["inspector"],
                    "mark": marks[reading["mark_id"]],
                    **_picked(reading, "quantity", "given", "value", "answer"),
                    "replaced": reading["id"] in replaced or visit["withdrawn"],
                }

    def _findings(self, support: Row) -> Iterator[Row]:
        closed = {row["finding_id"]: row for row in self._rows["closure"]}
        for visit in self._inspections(support):
            for finding in self._of("finding", "inspection_id", visit["root_id"]):
                end = closed.get(finding["root_id"], {})
                yield {
                    "day": visit["inspected_on"],
                    **_picked(finding, "code", "grade", "note"),
                    "closed": end.get("closed_on", ""),
                }

    def _outlooks(self, support: Row) -> Iterator[Row]:
        for row in self._of("outlook", "support_id", support["id"]):
            yield _picked(row, "series", "computed_for", "sentence")

    def _photos(self, support: Row) -> str:
        found = self._of("photo", "support_id", support["id"])
        figures = [
            f'<figure><img alt="" src="../{photo_path(row)}"><figcaption>'
            f"{escape(str(row['taken_on'] or ''))} {escape(row['caption'])}"
            "</figcaption></figure>"
            for row in found
        ]
        return f"<h2>Photographs</h2>{''.join(figures)}" if figures else ""

    def _section(self, title: str, rows: Iterable[Row]) -> str:
        listed = list(rows)
        if not listed:
            return ""
        lines = [f"<tr{_struck(row)}>{_cells(row.values())}</tr>" for row in listed]
        return f"<h2>{title}</h2>{_table(_head(listed[0]), lines)}"


def photo_path(photo: Row) -> str:
    """Where the original of a photograph lies, below the data folder."""
    ending = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}
    kind = ending.get(photo["media_type"], "bin")
    return f"photos/{photo['sha256'][:2]}/{photo['sha256']}.{kind}"


def _picked(row: Row, *names: str) -> dict[str, Any]:
    return {name: row[name] for name in names}


def _struck(row: Row) -> str:
    return ' class="gone"' if row.get("replaced") or row.get("withdrawn") else ""


def _cells(values: Iterable[object]) -> str:
    return "".join(f"<td>{_text(value)}</td>" for value in values)


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return escape("" if value is None else str(value))


def _head(names: Iterable[str]) -> str:
    return "".join(f"<th>{escape(name.replace('_', ' '))}</th>" for name in names)


def _table(head: str, lines: Sequence[str]) -> str:
    return f"<table><tr>{head}</tr>{''.join(lines)}</table>"


def _list(row: Row) -> str:
    lines = [
        f"<tr><th>{escape(name.replace('_', ' '))}</th><td>{_text(value)}</td></tr>"
        for name, value in row.items()
        if value not in (None, "") and not name.endswith("id")
    ]
    return f"<table>{''.join(lines)}</table>"


def _page(title: str, body: str) -> str:
    return _PAGE.format(
        title=escape(title), style=_STYLE, body=body, caution=escape(CAUTION)
    )
