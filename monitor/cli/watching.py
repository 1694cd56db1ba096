"""Commands that say what the readings mean and what is owed."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

import click

from monitor.cli.context import CliContext
from monitor.cli.output import say
from monitor.clock import local_date
from monitor.domain.conclusions import Due, Outlook
from monitor.domain.quantities import SERIES_LABEL
from monitor.domain.supports import Support
from monitor.errors import NotFound
from monitor.mechanics.screening import CAUTION
from monitor.schedule.due import lateness, state
from monitor.schedule.upkeep import work_state
from monitor.services.assessing.assess import assess as assess_supports
from monitor.services.assessing.assess import assess_stale
from monitor.services.margins.told import margin_lines, margin_rows
from monitor.services.margins.view import margin_view
from monitor.services.planning.plan import plan_all
from monitor.services.planning.works import works_due
from monitor.services.showing.cross_check import METHOD_NOTE, cross_check_words
from monitor.services.showing.support import find_support
from monitor.store import Session, records

ISO_DATE = click.DateTime(formats=["%Y-%m-%d"])


@click.command()
@click.argument("code", required=False)
@click.option("--all", "everything", is_flag=True, help="The whole installed base.")
@click.pass_obj
def assess(context: CliContext, code: str | None, everything: bool) -> None:
    """Assess one support, those that changed, or all of them."""
    now = context.clock.now()
    with context.store.write_session() as session:
        if code:
            series = assess_supports(session, [find_support(session, code).id], now=now)
        elif everything:
            series = assess_supports(session, None, now=now)
        else:
            series = assess_stale(session, now=now)
    click.echo(f"{series} series assessed.")


@click.command()
@click.option("--on", "on", type=ISO_DATE, help="Count from this day, YYYY-MM-DD.")
@click.option("--within", type=click.IntRange(0), default=60, help="Days ahead.")
@click.option("--rebuild", is_flag=True, help="Work out every due anew first.")
@click.option("--works", "only_works", is_flag=True, help="Works, no inspections.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_obj
def due(
    context: CliContext,
    on: datetime | None,
    within: int,
    rebuild: bool,
    only_works: bool,
    as_json: bool,
) -> None:
    """List the inspections that are owed, most urgent first, with the reason.

    Works that age calls for follow; with --works they stand alone.
    """
    if rebuild:
        with context.store.write_session() as session:
            plan_all(session, now=context.clock.now())
    with context.store.read_session() as session:
        today = _today(context, on)
        until = today + timedelta(days=within)
        column = records.DUES.table.c.due_on
        dues = sorted(
            records.DUES.all(session, column <= until), key=lambda d: d.due_on
        )
        codes = {s.id: s.code for s in records.SUPPORTS.all(session)}
        works = works_due(session, None, today=today)
    told = [
        f"{work.code}  {work_state(work, today)}. {work.sentence}" for work in works
    ]
    if only_works:
        none = "No work is owed by age."
        say(works, as_json=as_json, text="\n".join(told) or none)
        return
    lines = [f"{codes[d.support_id]}  {state(d, today)}. {d.sentence}" for d in dues]
    text = "\n".join(lines) or f"Nothing is owed before {until:%-d %B %Y}."
    if told:
        text = "\n".join([text, "", "Works that age calls for:", *told])
    rows = [_due_row(codes[d.support_id], d, today) for d in dues]
    say(rows, as_json=as_json, text=text)


@click.command()
@click.argument("code")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_obj
def explain(context: CliContext, code: str, as_json: bool) -> None:
    """Say how one support stands, what its readings mean, and why it is due."""
    with context.store.read_session() as session:
        support = find_support(session, code)
        standing = records.STANDINGS.find(session, support_id=support.id)
        owed = records.DUES.find(session, support_id=support.id)
        outlooks = records.OUTLOOKS.all(
            session, records.OUTLOOKS.table.c.support_id == support.id
        )
        spots = _spots(session, support)
        margins = margin_view(session, support.id, context.clock.now()).members
    if standing is None and support.removed_on is None:
        raise NotFound("assessment of", code, hint=f"Run “underprop assess {code}”.")
    lines = [f"{support.code}: {standing.standing if standing else 'removed'}."]
    lines += list(standing.reasons if standing else ())
    lines += _readings_lines(outlooks, spots)
    if owed is not None:
        lines += [""] + [sentence for _, _, sentence in owed.reasons]
        lines.append(lateness(owed))
    lines += margin_lines(margins)
    lines += ["", CAUTION]
    found = {
        "support": support,
        "standing": standing,
        "outlooks": outlooks,
        "due": owed,
        "margins": margin_rows(margins),
        "caution": CAUTION,
    }
    say(found, as_json=as_json, text="\n".join(lines))


def _readings_lines(
    outlooks: list[Outlook], spot: Callable[[Outlook], str]
) -> list[str]:
    """What each series says, with the plain methods beneath, and a note on these."""
    lines, is_checked = [], False
    for outlook in outlooks:
        lines += ["", f"{spot(outlook)}: {outlook.sentence}"]
        check = cross_check_words(outlook)
        lines += [f"  {check}"] if check else []
        is_checked = is_checked or bool(check)
    return [*lines, "", METHOD_NOTE] if is_checked else lines


def _spots(session: Session, support: Support) -> Callable[[Outlook], str]:
    members = records.MEMBERS.all(
        session, records.MEMBERS.table.c.support_id == support.id
    )
    codes = {member.id: member.code for member in members}
    marks = records.MARKS.all(session, records.MARKS.table.c.member_id.in_(codes))
    by_id = {mark.id: mark for mark in marks}

    def spot(outlook: Outlook) -> str:
        mark = by_id[outlook.mark_id]
        label = SERIES_LABEL[outlook.series]
        return f"{codes[mark.member_id]}, {mark.code}, {label}"

    return spot


def _due_row(code: str, due: Due, today: date) -> dict[str, object]:
    return {
        "support": code,
        "state": state(due, today),
        "opens_on": due.opens_on,
        "due_on": due.due_on,
        "late_on": due.late_on,
        "serious_on": due.serious_on,
        "kind": due.kind,
        "rule": due.rule,
        "sentence": due.sentence,
    }


def _today(context: CliContext, on: datetime | None) -> date:
    return (
        on.date() if on else local_date(context.clock.now(), context.settings.timezone)
    )
