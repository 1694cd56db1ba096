"""The first page: what needs me now, in words and in order."""

from types import SimpleNamespace
from typing import Any
from urllib.parse import quote

from dash import Dash, dcc, html
from dash.development.base_component import Component

from dashboard.components.alerts import shown_as_alert
from dashboard.components.entries import (
    entries,
    headed,
    record_address,
    support_entry,
)
from dashboard.components.field_tasks import tasks_line
from dashboard.components.first_steps import first_steps
from dashboard.components.text import CAUTION, counted, day, sentence
from dashboard.components.upkeep import upkeep
from dashboard.context import AppContext
from monitor.domain.quantities import SERIES_LABEL
from monitor.services.field.tasks import open_tasks
from monitor.services.showing import today as show_today
from monitor.services.showing.register import DueLine
from monitor.services.showing.today import Few, Today
from monitor.store.overview import OverviewLine

NAME, PATH = "today", "/"
QUERY: tuple[str, ...] = ()
IDS = SimpleNamespace()


def title() -> str:
    """Title of the page."""
    return "Today"


@shown_as_alert
def layout(context: AppContext) -> Component:
    """The answer first, then the entries."""
    now = context.clock.now()
    with context.store.read_session() as session:
        found = show_today.today(session, now)
        from_field = tasks_line(open_tasks(session))
    return html.Article(
        [
            html.P(day(now.date()), className="dateline"),
            html.H1(headline(found)),
            html.P(count_line(found), className="lead"),
            *([] if found.in_service else first_steps()),
            *upkeep(context),
            *([from_field] if from_field else []),
            *_parts(found),
            html.P(CAUTION, className="caution"),
        ]
    )


def register(app: Dash, context: AppContext) -> None:
    """Nothing on this page answers to clicks."""


def headline(found: Today) -> str:
    """What needs me now, in one sentence.

    Each support is counted once, under the gravest thing said of it.
    """
    if not found.in_service:
        return "No support is recorded yet."
    said = []
    if found.make_safe.total:
        said.append(f"{counted(found.make_safe.total, 'support')} must be made safe")
    if found.act.total:
        many = counted(found.act.total, "support" if not said else "other")
        said.append(f"{many} {_verb(found.act, 'wants', 'want')} work")
    if found.late.total:
        many = counted(found.late.total, "inspection")
        said.append(f"{many} {_verb(found.late, 'is', 'are')} late")
    if not said:
        return _calm(found)
    return (
        sentence(", ".join(said[:-1]) + (" and " if said[1:] else "") + said[-1]) + "."
    )


def _verb(things: Few[Any], one: str, many: str) -> str:
    return one if things.total == 1 else many


def _calm(found: Today) -> str:
    if found.doubtful.total:
        many = counted(found.doubtful.total, "reading")
        wants = _verb(found.doubtful, "wants", "want")
        return sentence(f"{many} {wants} repeating; nothing else presses.")
    if found.soon_until is not None:
        many = counted(found.due_soon.total, "inspection")
        return sentence(
            f"{many} to do by {day(found.soon_until)}; nothing else presses."
        )
    if found.next_due is not None:
        return f"Nothing is owed before {day(found.next_due.due_on)}."
    return "Nothing needs you now."


def count_line(found: Today) -> str:
    """How many there are, and how the rest stand."""
    if not found.in_service:
        return "The book is empty, and ready."
    said = f"{sentence(counted(found.in_service, 'support'))} in service"
    if found.holding:
        said += f", {found.holding} of them holding"
    if found.watch:
        said += f", {found.watch} to watch"
    said += "."
    if found.waiting:
        said += (
            f" {sentence(counted(found.waiting, 'support'))} "
            f"{'has' if found.waiting == 1 else 'have'} new readings that the next "
            "assessment takes in."
        )
    return said


def _parts(found: Today) -> list[Component]:
    return [
        part
        for part in (
            _standing_part("Make safe", found.make_safe),
            _standing_part("Act", found.act),
            _due_part("Late", found.late, "/due"),
            _doubtful_part(found),
            _due_part("Due now and soon", found.due_soon, "/due"),
        )
        if part is not None
    ]


def _standing_part(name: str, found: Few[OverviewLine]) -> Component | None:
    if not found.total:
        return None
    items = [
        support_entry(line.code, _place(line), _reasons(line), line.standing)
        for line in found.lines
    ]
    address = "/register?q=" + quote(name.lower())
    return headed(name, [entries(items), *_more(found, address)])


def _reasons(line: OverviewLine) -> str:
    """The gravest reason, and how many more there are."""
    first, *more = line.standing_reasons or ("",)
    if not more:
        return first
    return f"{first} {sentence(counted(len(more), 'more reason'))} on its page."


def _due_part(name: str, found: Few[DueLine], address: str) -> Component | None:
    if not found.total:
        return None
    items = [
        support_entry(due.line.code, _place(due.line), _due_words(due))
        for due in found.lines
    ]
    return headed(name, [entries(items), *_more(found, address)])


def _due_words(due: DueLine) -> list[str | Component]:
    words: list[str | Component] = []
    if due.days_late > 0:
        words.append(html.Strong(f"{sentence(counted(due.days_late, 'day'))} late. "))
    words.append(due.line.due_sentence + " ")
    words.append(dcc.Link("Record it", href=record_address(due.line.code)))
    return words


def _doubtful_part(found: Today) -> Component | None:
    if not found.doubtful.total:
        return None
    items = [
        support_entry(
            line.code,
            f"{line.site}. {line.member}, {line.mark}",
            [
                f"The newest {SERIES_LABEL[line.series]} reading does not fit its "
                "neighbours. ",
                dcc.Link("Repeat it", href=record_address(line.code)),
            ],
        )
        for line in found.doubtful.lines
    ]
    return headed("Unconfirmed", [entries(items), *_more(found.doubtful, "/register")])


def _more(found: Few[Any], address: str) -> list[Component]:
    if found.rest <= 0:
        return []
    words = sentence(counted(found.rest, "more", "more"))
    return [html.P(dcc.Link(words, href=address))]


def _place(line: OverviewLine) -> str:
    return f"{line.site}, {line.tree}, {line.species}"
