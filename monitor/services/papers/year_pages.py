"""The plan of the coming year on paper."""

from datetime import timedelta

from monitor.reports.blocks import Block, Chapter, Column, Grid, Heading, Voice, Words
from monitor.schedule.calendar import month_in_words
from monitor.schedule.years import Share
from monitor.services.papers.fingerprint import seal
from monitor.services.papers.support_pages import Desk
from monitor.services.papers.wording import CAUTION, counted, on, why_due
from monitor.services.planning.works import works_ahead
from monitor.services.planning.years import SCREENING, YearsView, spread, years_view
from monitor.store import records

_YEAR = timedelta(days=365)


def year_pages(desk: Desk) -> list[Block]:
    """Visits and hours month by month, the looks and works owed, owners and sites."""
    now = desk.moment.made_at
    view = years_view(desk.session, 1, now=now)
    plan, today = view.plan, now.date()
    head = ("Plan of the year", on(today))
    if not view.supports:
        title = "Nothing stands, so nothing is planned."
        return [Chapter(head, f"Year plan, {on(today)}", title)]
    visits, hours = plan.visits_by_year[0], plan.hours_by_year[0]
    title = (
        f"The coming year asks for about {visits.median:.0f} visits and "
        f"{hours.median:.0f} hours."
    )
    return [
        Chapter(head, f"Year plan, {on(today)}", title),
        Words(
            f"For {view.supports} supports and {counted(plan.works, 'work')} that age "
            f"calls for: {spread(visits)} visits and {spread(hours)} hours, in nine "
            "years of ten between the bounds if all goes on as it did.",
            Voice.LEAD,
        ),
        _months(view),
        *_works(desk),
        *_looks(desk),
        Heading("By owner"),
        _shares("Owner", plan.by_owner),
        Heading("By site"),
        _shares("Site", plan.by_site),
        Words(SCREENING, Voice.QUIET),
        Words(CAUTION, Voice.CAUTION),
        seal(desk.session, desk.mark, None, desk.moment),
    ]


def _months(view: YearsView) -> Block:
    columns = (Column("Month", 2), Column("Visits", 1.3, True),
               Column("Hours", 1.3, True), Column("Works", 1, True))  # fmt: skip
    rows = tuple(
        (month_in_words(one.starts_on), spread(one.visits), spread(one.hours),
         str(one.works))
        for one in view.plan.months
    )  # fmt: skip
    return Grid("Month by month, with bounds", columns, rows)


def _works(desk: Desk) -> list[Block]:
    today = desk.moment.made_at.date()
    found = works_ahead(desk.session, None, today=today)
    rows = tuple(
        (work.code, on(work.due_on), work.sentence)
        for work in found
        if work.due_on <= today + _YEAR
    )
    if not rows:
        return [Heading("Works by age"), Words("None within the year.")]
    columns = (Column("Support", 0.8), Column("By", 1.4), Column("What", 4))
    return [Heading("Works by age"), Grid(counted(len(rows), "work"), columns, rows)]


def _looks(desk: Desk) -> list[Block]:
    until = desk.moment.made_at.date() + _YEAR
    codes = {one.id: one.code for one in records.SUPPORTS.all(desk.session)}
    dues = records.DUES.all(desk.session, records.DUES.table.c.due_on <= until)
    dues.sort(key=lambda due: (due.due_on, codes[due.support_id]))
    rows = tuple(
        (codes[due.support_id], due.kind.value, on(due.opens_on), on(due.due_on),
         why_due(due))
        for due in dues
    )  # fmt: skip
    if not rows:
        return [Heading("Looks owed"), Words("None within the year.")]
    columns = (Column("Support", 0.8), Column("Kind", 0.8), Column("From", 1.4),
               Column("By", 1.4), Column("Why", 2.8))  # fmt: skip
    return [Heading("Looks owed"), Grid(counted(len(rows), "look"), columns, rows)]


def _shares(name: str, shares: tuple[Share, ...]) -> Block:
    columns = (Column(name, 3), Column("Planned visits", 1, True),
               Column("Hours", 1, True))  # fmt: skip
    rows = tuple((one.name, f"{one.visits:.1f}", f"{one.hours:.1f}") for one in shares)
    return Grid("In the year", columns, rows)
