"""Lists as tables of a document."""

from collections.abc import Iterable, Sequence


def table(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table in Markdown; bars inside cells are escaped.

    Examples
    --------
    >>> print(table(["code", "unit"], [["tilt", "mm/m"]]))
    | code | unit |
    |---|---|
    | tilt | mm/m |
    """
    lines = [_line(headings), "|" + "---|" * len(headings), *map(_line, rows)]
    return "\n".join(lines)


def number(value: float) -> str:
    """A number as short as it is exact.

    Examples
    --------
    >>> number(-350.0), number(0.05)
    ('-350', '0.05')
    """
    return f"{value:.6g}"


def code(name: str) -> str:
    """A name of the code, set as such."""
    return f"`{name}`"


def _line(cells: Sequence[str]) -> str:
    return "| " + " | ".join(cell.replace("|", r"\|") for cell in cells) + " |"
