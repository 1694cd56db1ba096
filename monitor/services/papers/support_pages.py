"""The pages of one support in a condition report or a dossier."""

from dataclasses import dataclass

from monitor.reports.blocks import (
    Block,
    Chapter,
    Column,
    Grid,
    Heading,
    Pairs,
    Points,
    Stands,
    Voice,
    Words,
)
from monitor.services.margins.told import margin_words
from monitor.services.papers.files import SupportFile
from monitor.services.papers.fingerprint import Fingerprint, seal
from monitor.services.papers.moment import Moment
from monitor.services.papers.pictures import photo_blocks, photo_list
from monitor.services.papers.series_part import NEWEST, series_blocks
from monitor.services.papers.sources import who_measured
from monitor.services.papers.wording import CAUTION, listed, on, sentence
from monitor.services.showing.cross_check import METHOD_NOTE
from monitor.services.showing.support import SupportView
from monitor.store import Session
from monitor.store.photos import PhotoFiles

SAYS = {
    "make safe": "must be made safe",
    "act": "wants work",
    "watch": "wants watching",
    "holding": "is holding",
}
READ_SO = (
    "Dots are readings with bars of two standard deviations either way, grey ones from "
    "before the last work; a hollow dot is doubted, a cross is a look that brought no "
    "number. The brown fan is the forecast (5\u202f%, half, 95\u202f%), the lines are "
    "the limits, a dotted upright is a work after which the series starts anew."
)
METHOD = (
    "Each reading is compared only with readings of the same mark since the last work. "
    "Level and rate come from a filter that weighs every reading by its declared noise "
    "and may doubt it; a movement is called one only when the evidence is strong "
    "however often one looks. Hidden parts are not inspected, closed bark does not "
    "mean sound wood, and damage that no reading foretells is not forecast."
)


@dataclass(frozen=True, slots=True)
class Desk:
    """What every page of a paper is written with.

    Attributes
    ----------
    is_whole : every reading and photograph is listed, not only the newest
    """

    session: Session
    files: PhotoFiles
    moment: Moment
    mark: Fingerprint
    is_whole: bool = False


def support_pages(desk: Desk, file: SupportFile) -> list[Block]:
    """Standing, photographs, readings, works, findings, method and fingerprint."""
    view = file.view
    return [
        _chapter(view),
        *_standing(view),
        Pairs(_about(view)),
        *_photos(desk, view),
        *_readings(desk, view),
        *_built(view),
        *_findings(view),
        *_works(view),
        *_margin(file),
        *_how(desk, file),
        seal(desk.session, desk.mark, view, desk.moment),
    ]


def headline(view: SupportView) -> str:
    """How it stands, in one sentence."""
    code, removed_on = view.support.code, view.support.removed_on
    if removed_on is not None:
        return f"{code} was removed on {on(removed_on)}."
    if view.standing is None:
        return f"{code} has not been assessed."
    return f"{code} {SAYS[view.standing.standing.value]}."


def place_words(view: SupportView) -> str:
    """Site, tree and species."""
    place = view.place
    return ", ".join(
        part for part in (place.site.name, place.tree.code, place.tree.species) if part
    )


def _chapter(view: SupportView) -> Chapter:
    head = f"{view.support.code}, {view.place.site.name}", on(view.place.today)
    return Chapter(head, place_words(view), headline(view))


def _standing(view: SupportView) -> list[Block]:
    blocks: list[Block] = []
    if view.support.removed_on is None and view.standing is not None:
        word = view.standing.standing.value
        blocks.append(
            Stands(word, view.standing.reasons or ("Nothing speaks against.",))
        )
    if view.due is not None and view.support.removed_on is None:
        blocks.append(Pairs((("Next look", view.due.sentence),)))
    return [*blocks, Words(CAUTION, Voice.CAUTION)]


def _about(view: SupportView) -> tuple[tuple[str, str], ...]:
    support, place = view.support, view.place
    stand = [part.member for part in view.members if part.member.removed_on is None]
    last = view.visits[0] if view.visits else None
    by = f", by {view.installer}" if view.installer else ""
    looked = f"{on(last.inspected_on)} by {last.inspector}" if last else "never"
    items = (
        ("Why it is there", support.reason),
        ("Beneath it", f"{support.target or 'not said'}, {support.occupancy.value} "
         f"use; a failure would be {support.consequence.value}"),
        ("Made of", listed([f"{m.kind.value} {m.code}" for m in stand]) or "nothing"),
        ("In place since", f"{on(support.installed_on)}{by}"),
        ("Last looked at", looked),
        ("Owner", place.owner),
        ("Where", _where(view)),
        ("Access", place.site.access_note),
        ("Note", support.note),
    )  # fmt: skip
    return tuple((name, sentence(value)) for name, value in items if value.strip())


def _where(view: SupportView) -> str:
    tree, site = view.place.tree, view.place.site
    for spot, of in ((tree, "tree"), (site, "site")):
        if spot.latitude is not None and spot.longitude is not None:
            degrees = f"{spot.latitude:.5f}°, {spot.longitude:.5f}°".replace("-", "−")
            return f"{degrees} (WGS 84, of the {of})"
    return "no coordinates on record"


def _photos(desk: Desk, view: SupportView) -> list[Block]:
    blocks = photo_blocks(desk.session, desk.files, view, desk.moment)
    if desk.is_whole:
        blocks += photo_list(desk.session, view, desk.moment)
    return [Heading("Photographs"), *blocks]


def _readings(desk: Desk, view: SupportView) -> list[Block]:
    gone = [s for s in view.series if s.member.removed_on is not None]
    shown = [s for s in view.series if desk.is_whole or s not in gone]
    if not shown:
        return [Heading("Readings"), Words("Nothing has been measured here.")]
    blocks: list[Block] = [Heading("Readings"), Words(READ_SO, Voice.QUIET)]
    for series in shown:
        at_most = None if desk.is_whole else NEWEST
        blocks += series_blocks(view, series, at_most=at_most)
    if gone and not desk.is_whole:
        blocks.append(
            Words(
                f"{len(gone)} series of removed parts are in the record.", Voice.QUIET
            )
        )
    return blocks


def _built(view: SupportView) -> list[Block]:
    blocks: list[Block] = []
    for part in view.members:
        member = part.member
        until = f" until {on(member.removed_on)}" if member.removed_on else ""
        title = sentence(f"{member.kind.value} {member.code}")[:-1]
        blocks.append(Heading(title, 3, f"{on(member.installed_on)}{until}"))
        facts = tuple((fact.label, fact.given) for fact in part.facts)
        blocks.append(
            Pairs(facts, is_dense=True)
            if facts
            else Words("No as-built facts.", Voice.QUIET)
        )
    return [Heading("As built"), *blocks] if blocks else []


def _findings(view: SupportView) -> list[Block]:
    if not view.findings:
        return [Heading("Findings"), Words("Nothing was found.", Voice.QUIET)]
    columns = (Column("Seen", 1.4), Column("Grade", 0.7), Column("What", 2.3),
               Column("By", 1), Column("Ended", 1.8))  # fmt: skip
    rows = tuple(
        (
            on(one.seen_on),
            one.grade.value,
            ", ".join(t for t in (one.member, one.label, one.note) if t),
            one.inspector,
            f"{on(one.closed_on)}, {one.closing}" if one.closed_on else "open",
        )
        for one in view.findings
    )
    return [Heading("Findings"), Grid("Open ones first, gravest first", columns, rows)]


def _works(view: SupportView) -> list[Block]:
    if not view.flags:
        return [Heading("Works and events"), Words("None so far.", Voice.QUIET)]
    columns = (Column("No.", 0.4, True), Column("Day", 1.4), Column("What", 1.2),
               Column("Words", 3.4))  # fmt: skip
    rows = tuple((str(f.number), on(f.on), f.label, f.note) for f in view.flags)
    return [Heading("Works and events"), Grid("Oldest first", columns, rows)]


def _margin(file: SupportFile) -> list[Block]:
    """What the parts may carry."""
    if file.view.support.removed_on is not None or not file.margins:
        return []
    said = [
        f"{m.case.known.label}: " + (" ".join(m.refused) or margin_words(m))
        for m in file.margins
    ]
    caution = Words(file.margins[0].caution, Voice.CAUTION)
    return [
        Heading("Margin, screening only"), Points(tuple(map(sentence, said))), caution
    ]  # fmt: skip


def _how(desk: Desk, file: SupportFile) -> list[Block]:
    measured = who_measured(desk.session, file.rows)
    found = [series.outlook for series in file.view.series if series.outlook]
    version = f" Version of the method: {found[0].method_version}." if found else ""
    blocks: list[Block] = [Heading("Who, how, and how far it reaches")]
    if measured is not None:
        blocks.append(measured)
    return [*blocks, Words(METHOD + version), Words(METHOD_NOTE, Voice.QUIET)]
