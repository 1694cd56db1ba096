"""The first page of a condition report: plain words for who owns what is held up."""

from collections import Counter
from collections.abc import Sequence
from datetime import date

from monitor.reports.blocks import (
    Block,
    Chapter,
    Column,
    Grid,
    Heading,
    Points,
    Voice,
    Words,
)
from monitor.schedule.upkeep import WorkOwed
from monitor.services.papers.moment import Moment
from monitor.services.papers.support_pages import SAYS, place_words
from monitor.services.papers.then import HOW_KNOWN
from monitor.services.papers.wording import (
    CAUTION,
    counted,
    listed,
    on,
    sentence,
    why_due,
)
from monitor.services.showing.support import SupportView

NAMED = 8
"""Supports named one by one; the rest is counted, so that one page is enough."""

_GRAVEST_FIRST = ("make safe", "act", "watch")
_SMALL = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
          "ten", "eleven", "twelve")  # fmt: skip


def plain_page(
    about: str, views: Sequence[SupportView], works: Sequence[WorkOwed], moment: Moment
) -> list[Block]:
    """What was installed, how it is, what we recommend, when we come again."""
    standing = [view for view in views if view.support.removed_on is None]
    today = views[0].place.today if views else moment.at.date()
    blocks: list[Block] = [
        Chapter(
            (about, on(today)), f"Condition report, {on(today)}", _answer(standing)
        ),
        Words(_installed(standing), Voice.LEAD),
    ]
    if moment.is_past:
        blocks.append(Words(f"As known on {on(today)}. {HOW_KNOWN}", Voice.CAUTION))
    blocks += [Heading("How it is"), *_how_it_is(standing)]
    blocks += [Heading("What we recommend"), Points(_recommended(standing, works))]
    blocks += [Heading("When we come again"), *_next(standing, today)]
    return [*blocks, Words(CAUTION, Voice.CAUTION)]


def _answer(views: Sequence[SupportView]) -> str:
    """The whole in one sentence."""
    many = Counter(_word(view) for view in views)
    if not views:
        return "Nothing stands here now."
    if len(views) == 1:
        (view,) = views
        word = _word(view)
        says = SAYS.get(word, "has not been assessed")
        return f"The support {view.support.code} {says}."
    if many["holding"] == len(views):
        return f"All {len(views)} supports are holding."
    said = [
        f"{_small(many[word])} {one if many[word] == 1 else other}"
        for word, one, other in (
            ("make safe", "must be made safe", "must be made safe"),
            ("act", "wants work", "want work"),
            ("watch", "wants watching", "want watching"),
            ("holding", "is holding", "are holding"),
            ("", "is not assessed yet", "are not assessed yet"),
        )
        if many[word]
    ]
    return sentence(f"of {len(views)} supports, {listed(said)}")


def _installed(views: Sequence[SupportView]) -> str:
    if not views:
        return "No support is in service."
    first = min(view.support.installed_on for view in views)
    kinds = Counter(
        part.member.kind.value
        for view in views
        for part in view.members
        if part.member.removed_on is None
    )
    parts = listed([counted(n, kind) for kind, n in kinds.most_common()])
    if len(views) == 1:
        (view,) = views
        support = view.support
        why = f" It answers this: {support.reason}." if support.reason else ""
        return (
            f"It has stood since {on(first)} at {place_words(view)}: "
            f"{parts or 'no parts'}.{why} Beneath it: {support.target or 'not said'}."
        )
    trees = len({view.place.tree.id for view in views})
    sites = len({view.place.site.id for view in views})
    return (
        f"{len(views)} supports ({parts}) hold {counted(trees, 'tree')} at "
        f"{counted(sites, 'place')}. The oldest has stood since {on(first)}."
    )


def _how_it_is(views: Sequence[SupportView]) -> list[Block]:
    grave = [v for word in _GRAVEST_FIRST for v in views if _word(v) == word]
    if not grave:
        whom = "it" if len(views) == 1 else "any of them"
        return [Words(f"Nothing speaks against {whom}, as far as can be seen.")]
    if len(views) == 1:
        (view,) = grave
        return [Points(_reasons(view)[:5])]
    columns = (Column("Support", 0.9), Column("Stands at", 0.8), Column("Where", 1.6),
               Column("First reason", 2.8))  # fmt: skip
    rows = tuple(
        (v.support.code, _word(v), v.place.site.name, _reasons(v)[0])
        for v in grave[:NAMED]
    )
    blocks: list[Block] = [Grid("Gravest first", columns, rows)]
    if len(grave) > NAMED:
        more = f"{len(grave) - NAMED} more stand at watch or worse; see their pages."
        blocks.append(Words(more, Voice.QUIET))
    return blocks


def _recommended(
    views: Sequence[SupportView], works: Sequence[WorkOwed]
) -> tuple[str, ...]:
    """What standing and age call for, in sentences."""
    said = []
    for word, wish in (
        ("make safe", "Keep people away and make safe at once"),
        ("act", "Have the work planned by a competent person, soon"),
        ("watch", "Look more often and be ready to act"),
    ):
        codes = [view.support.code for view in views if _word(view) == word]
        if codes:
            said.append(f"{wish}: {_some(codes)}.")
    said += [f"{work.code}: {work.sentence}" for work in works[:4]]
    if len(works) > 4:
        said.append(f"{len(works) - 4} more works are owed by age; see the plan.")
    return tuple(said) or ("Nothing beyond the looks below.",)


def _next(views: Sequence[SupportView], today: date) -> list[Block]:
    dues = sorted(
        ((v.due, v.support.code) for v in views if v.due is not None),
        key=lambda pair: (pair[0].due_on, pair[1]),
    )
    if not dues:
        return [Words("No look is owed by the rules in force.")]
    columns = (Column("Support", 0.9), Column("By", 1.4), Column("Why", 4.1))
    rows = tuple(
        (code, _by(due.due_on, today), why_due(due)) for due, code in dues[: NAMED - 2]
    )
    blocks: list[Block] = [Grid("The next looks", columns, rows)]
    if len(dues) > len(rows):
        last = dues[-1][0].due_on
        more = f"{len(dues) - len(rows)} more follow until {on(last)}."
        blocks.append(Words(more, Voice.QUIET))
    return blocks


def _by(due_on: date, today: date) -> str:
    return on(due_on) if due_on >= today else f"now; it was due on {on(due_on)}"


def _word(view: SupportView) -> str:
    return view.standing.standing.value if view.standing else ""


def _reasons(view: SupportView) -> tuple[str, ...]:
    reasons = view.standing.reasons if view.standing else ()
    return reasons or ("No reason was written.",)


def _small(n: int) -> str:
    return _SMALL[n] if n < len(_SMALL) else str(n)


def _some(codes: Sequence[str]) -> str:
    shown = listed(list(codes[:NAMED]))
    return shown if len(codes) <= NAMED else (
        f"{', '.join(codes[:NAMED])} and {len(codes) - NAMED} more"
    )  # fmt: skip
