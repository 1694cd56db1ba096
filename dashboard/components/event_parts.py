"""One event: what it was, its area on the map, and whom it still waits for."""

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboard.components.drawings import drawing
from dashboard.components.entries import entries, headed, support_entry
from dashboard.components.tables import quiet_table
from dashboard.components.text import counted, day, sentence
from dashboard.figures.area_map import Spot, State, area_map
from monitor.schedule.area import parse_area
from monitor.services.planning.events import Draft
from monitor.services.showing.events import CallLine, EventView, Placed

SHOWN = 12


def event_part(view: EventView, places: Sequence[Placed]) -> Component:
    """An event that is followed."""
    parts: list[Component] = [html.P(told(view)), html.P(progress(view))]
    if view.event.area:
        parts += _map(view, places)
    parts += _waiting(view)
    return headed(view.event.name, parts)


def told(view: EventView) -> str:
    """What happened, when and where."""
    one = view.event
    size = f", {view.size}" if view.size else ""
    place = f"at {view.struck}" if view.struck else "in the area drawn here"
    note = f" {sentence(one.note)}." if one.note and one.note != view.size else ""
    ended = f" Ended on {day(one.ended_on)}." if one.ended_on else ""
    kind = sentence(one.kind.value)
    return f"{kind} on {day(one.happened_on)}{size}, {place}.{note}{ended}"


def progress(view: EventView) -> str:
    """How many of those called were looked at."""
    if not view.lines:
        return "It called nobody."
    late = sum(line.is_late for line in view.lines)
    waiting, called = len(view.waiting), len(view.lines)
    if called == 1:
        if not waiting:
            return "The one support it called was looked at."
        return f"The one support it called still wants a look{', late' * late}."
    if not waiting:
        return f"All {called} supports it called were looked at."
    want = "wants" if waiting == 1 else "want"
    said = f"{waiting} of {called} supports still {want} a look"
    return f"{said}, {late or 'none'} of them late."


def ended_table(views: Sequence[EventView]) -> Component:
    """Events that nobody has to follow any more."""
    rows = [
        [
            day(view.event.happened_on),
            view.event.name,
            sentence(view.size) or view.event.kind.value,
            progress(view),
        ]
        for view in views
    ]
    return quiet_table(["Day", "Event", "Size", "Looks"], rows, caption="Past events")


def draft_words(draft: Draft, places: Sequence[Placed]) -> Component:
    """Whom an event would call, before it is entered."""
    n = len(draft.new)
    if draft.known is not None:
        said = f"“{draft.known.name}” says the same already; nothing would be raised."
        return html.P(said)
    parts: list[Component] = [
        html.P(
            f"{sentence(counted(n, 'support'))} would be called to a look."
            if n
            else draft.response.remark or "Nobody would be called."
        )
    ]
    parts += [html.P(remark) for remark in _remarks(draft)]
    if draft.event.area:
        called = {one.candidate.code for one in draft.new}
        spots = [
            Spot(
                one.code,
                one.place,
                State.WAITING if one.code in called else State.OTHER,
                one.site,
            )
            for one in places
        ]
        parts += _drawn(spots, draft.event.area, f"Where {n} supports would be called.")
    rows = [
        [
            str(place),
            one.candidate.code,
            one.candidate.standing.value,
            day(one.look.done_by_on),
        ]
        for place, one in enumerate(draft.new, start=1)
    ]
    if rows:
        table = quiet_table(["", "Support", "Standing", "By"], rows, caption="Called")
        parts.append(
            table
            if n <= SHOWN
            else html.Details([html.Summary("All of them, in order of risk"), table])
        )
    return html.Div(parts)


def _remarks(draft: Draft) -> list[str]:
    said = []
    if draft.like:
        names = ", ".join(f"“{one.name}”" for one in draft.like)
        said.append(f"Whom {names} of that day called already is not called again.")
    if draft.seen:
        others = sentence(counted(draft.seen, "other was", "others were"))
        said.append(f"{others} looked at since it happened.")
    unplaced = [one.code for one in draft.response.unplaced]
    if unplaced:
        said.append(
            f"Where these stand was never noted, so decide: {', '.join(unplaced)}."
        )
    return said


def _map(view: EventView, places: Sequence[Placed]) -> list[Component]:
    states = {line.code: line for line in view.lines}
    spots = [_spot(one, states.get(one.code)) for one in places]
    words = f"{view.event.name}: {len(view.waiting)} supports still want a look."
    return _drawn(spots, view.event.area, words)


def _drawn(spots: Sequence[Spot], area: str, words: str) -> list[Component]:
    ring = parse_area(area).outline
    return [
        drawing(area_map(spots, [ring]), words),
        html.P(
            "Diamonds still want a look, rings were looked at since, dots are not "
            "called; one mark a place. Tinted: the area of the event.",
            className="quiet",
        ),
    ]


def _spot(one: Placed, line: CallLine | None) -> Spot:
    if line is None:
        return Spot(one.code, one.place, State.OTHER, one.site)
    if line.is_waiting:
        words = f"{one.site}, by {day(line.done_by_on)}"
        return Spot(one.code, one.place, State.WAITING, words)
    seen = day(line.seen_on) if line.seen_on else ""
    return Spot(one.code, one.place, State.SEEN, f"{one.site}, looked at on {seen}")


def _waiting(view: EventView) -> list[Component]:
    lines = view.waiting
    if not lines:
        return []
    first = entries([_entry(line) for line in lines[:SHOWN]])
    if len(lines) <= SHOWN:
        return [first]
    rest = entries([_entry(line) for line in lines[SHOWN:]])
    summary = html.Summary(f"{len(lines) - SHOWN} more, in order of risk")
    return [first, html.Details([summary, rest])]


def _entry(line: CallLine) -> html.Li:
    again = f", then every {line.again_days} days" if line.again_days else ""
    words: list[str | Component] = [f"By {day(line.done_by_on)}{again}."]
    if line.is_late:
        words.insert(0, html.Strong("Late. "))
    if line.seen_on is not None:
        words.append(f" Last looked at on {day(line.seen_on)}.")
    return support_entry(line.code, f"{line.site}, {line.tree}", words, line.standing)
