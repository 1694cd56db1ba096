"""The days of a round: ordered stops with their hours, and buttons to change them."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import groupby

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import aria, data
from dashboard.components.day_map import LETTERS, label_of, map_of
from dashboard.components.entries import entry, support_link
from dashboard.components.offered import is_offered, record_link
from dashboard.components.standing import standing_mark
from dashboard.components.text import counted, day, sentence
from dashboard.figures.day_map import DayStop, DayWay
from monitor.domain.rights import Right
from monitor.schedule.round_task import Arranged, Pin, clock
from monitor.schedule.round_timing import DayRound, Visit
from monitor.schedule.travel import Place
from monitor.services.planning.agreed import Agreed, day_key
from monitor.services.planning.rounds import RoundPlan, RoundWish

Address = Callable[[RoundWish], str]


def date_part(
    made: RoundPlan, rounds: Sequence[DayRound], address: Address
) -> Component:
    """One day: the map of all its stops beside the list of everybody's."""
    on = rounds[0].on
    lists = [day_part(made, round_, address) for round_ in rounds]
    return html.Section(
        [
            html.H2(f"{on:%A} {day(on)}"),
            html.Div(
                [html.Div(lists, className="day-lists"), *_map(made, rounds)],
                className="day-beside",
            ),
        ],
        className="part round-date",
    )


def day_part(made: RoundPlan, round_: DayRound, address: Address) -> Component:
    """One person's day."""
    heading = round_.person.name
    items = [
        _visit(made, round_, index, address) for index in range(len(round_.visits))
    ]
    parts: list[Component] = [html.H3(heading), html.P(_told(round_))]
    kept = made.agreed.kept.get(day_key(round_.person.name, round_.on))
    if kept is not None:
        parts.append(_agreed(made, kept, address))
    elif round_.is_arranged:
        free = replace(
            made.wish,
            arranged=tuple(a for a in made.wish.arranged if not _is_of(a, round_)),
        )
        parts.append(
            html.P(
                [
                    "Put in order by hand. ",
                    dcc.Link("Let it be planned again", href=address(free)),
                ],
                className="quiet",
            )
        )
    parts.append(
        html.Ol(
            items,
            className="entries stops",
            **data(person=round_.person.name, on=round_.on.isoformat()),
        )
    )
    return html.Section(parts, className="round-day")


def _agreed(made: RoundPlan, kept: Agreed, address: Address) -> Component:
    """That a day stays as agreed, and the way to plan it anew around its pins."""
    told: list[str | Component] = [
        "This round is ",
        dcc.Link("agreed", href=f"/rounds/{kept.round.root_id}"),
        " and stays as it is. ",
    ]
    if not is_offered(Right.PLAN):
        return html.P(told, className="quiet")
    key = (kept.round.person, kept.round.planned_on)
    pins = [pin for pin in kept.pins if pin not in made.wish.pins]
    anew = replace(
        made.wish,
        again=(*made.wish.again, key),
        pins=(*made.wish.pins, *pins),
    )
    stay = f" ({counted(len(pins), 'pinned visit stays', 'pinned visits stay')})"
    return html.P(
        [
            *told,
            dcc.Link("Plan this day anew", href=address(anew)),
            f"{stay if pins else ''}.",
        ],
        className="quiet",
    )


def _told(round_: DayRound) -> str:
    told = (
        f"{sentence(counted(len(round_.visits), 'visit'))}. Leaves at "
        f"{clock(round_.leaves)}, back at {clock(round_.back)}: "
        f"{round_.site_min:.0f} min on site, {round_.travel_min:.0f} min on the way."
    )
    if round_.wait_min >= 1:
        told += f" {round_.wait_min:.0f} min of waiting."
    if round_.over_min >= 1:
        told += f" That is {round_.over_min:.0f} min more than the hours allow."
    return told


def _visit(made: RoundPlan, round_: DayRound, index: int, address: Address) -> html.Li:
    visit = round_.visits[index]
    code = visit.stop.code
    line, minutes = made.lines[code], made.minutes[code]
    site = made.sites[line.site_code]
    margin: list[Component] = [
        html.Span(f"{index + 1}. {clock(visit.begins)}", className="number"),
        support_link(code),
    ]
    if line.standing is not None:
        margin.append(standing_mark(line.standing))
    kind = f"{line.due_kind.value} inspection" if line.due_kind else "inspection"
    late = (
        html.Strong(f" {sentence(counted(visit.days_late, 'day'))} late.")
        if visit.days_late
        else ""
    )
    note = f" {sentence(site.access_note)}." if site.access_note else ""
    words = [
        html.P(
            [
                f"{line.site}, {line.tree}. {sentence(kind)}, "
                f"{minutes.minutes:.0f} min.",
                late,
                note,
            ]
        ),
        html.P(
            [way_in_words(visit.travel_min), *record_link(code)],
            className="quiet",
        ),
        _buttons(made, round_, index, address),
    ]
    grip = [_grip()] if is_offered(Right.PLAN) else []
    inside = entry([*grip, *margin], words).children
    return html.Li(inside, className="entry stop", **data(code=code))


def way_in_words(travel_min: float) -> str:
    """How far it is from where one was."""
    if travel_min < 0.5:
        return "On the same site. "
    return f"{travel_min:.0f} min on the way there. "


def _grip() -> Component:
    """What a stop is dragged by; the buttons do the same without a pointer."""
    return html.Span(
        "⠿",
        className="grip",
        title="Drag to another place or day",
        **aria(hidden="true"),
    )


def _buttons(
    made: RoundPlan, round_: DayRound, index: int, address: Address
) -> Component:
    """Up, down, stay, and other days: each is an address, so a plan can be sent on."""
    if not is_offered(Right.PLAN):
        return html.Div()
    code = round_.visits[index].stop.code
    links: list[Component] = []
    if index > 0:
        links.append(_step("Up", moved(made.wish, round_, index, -1), address))
    if index + 1 < len(round_.visits):
        links.append(_step("Down", moved(made.wish, round_, index, 1), address))
    is_pinned = any(pin.code == code for pin in made.wish.pins)
    if is_pinned:
        links.append(_step("Unpin", unpinned(made.wish, code), address))
    elif not round_.is_arranged:
        pin = Pin(code, round_.person.name, round_.on)
        links.append(_step("Pin", pinned(made.wish, pin), address))
    return html.Div(
        [*links, _elsewhere(made, round_, code, address)], className="steps"
    )


def _elsewhere(
    made: RoundPlan, round_: DayRound, code: str, address: Address
) -> Component:
    task = made.rounds.task
    others = [
        Pin(code, person.name, on)
        for on in task.days
        for person in task.people
        if (person.name, on) != (round_.person.name, round_.on)
    ]
    links = [
        html.Li(_step(f"{pin.on:%A} {pin.on.day} {pin.on:%B}, {pin.person}",
                      pinned(made.wish, pin), address))
        for pin in others
    ]  # fmt: skip
    if not links:
        return html.Span()
    return html.Details([html.Summary("Another day"), html.Ul(links)])


def _step(label: str, wish: RoundWish, address: Address) -> Component:
    return dcc.Link(label, href=address(wish), className="step")


def moved(wish: RoundWish, round_: DayRound, index: int, by: int) -> RoundWish:
    """The same wish with one stop of a day moved; the day is then in order by hand."""
    codes = [visit.stop.code for visit in round_.visits]
    codes.insert(index + by, codes.pop(index))
    others = tuple(a for a in wish.arranged if not _is_of(a, round_))
    own = Arranged(round_.person.name, round_.on, tuple(codes))
    return replace(wish, arranged=(*others, own))


def pinned(wish: RoundWish, pin: Pin) -> RoundWish:
    """The same wish with a visit on one person's day; it leaves a day set by hand."""
    free = unpinned(wish, pin.code)
    arranged = tuple(
        replace(
            a,
            codes=(*a.codes, pin.code)
            if (a.person, a.on) == (pin.person, pin.on)
            else tuple(code for code in a.codes if code != pin.code),
        )
        for a in free.arranged
    )
    return replace(free, pins=(*free.pins, pin), arranged=arranged)


def unpinned(wish: RoundWish, code: str) -> RoundWish:
    """The same wish without the pin of a visit."""
    return replace(wish, pins=tuple(pin for pin in wish.pins if pin.code != code))


def _is_of(arranged: Arranged, round_: DayRound) -> bool:
    return (arranged.person, arranged.on) == (round_.person.name, round_.on)


def _map(made: RoundPlan, rounds: Sequence[DayRound]) -> list[Component]:
    """Where everybody goes that day; nothing if no stop has a place."""
    home = _point(made.rounds.task.home)
    ways = [
        DayWay(home, tuple(_stops(letter, round_.visits)))
        for letter, round_ in zip(LETTERS, rounds, strict=False)
    ]
    drawn = map_of(ways, [round_.person.name for round_ in rounds])
    return [drawn] if drawn is not None else []


def _stops(letter: str, visits: Sequence[Visit]) -> Iterable[DayStop]:
    """Stops of one site share a mark: A2-4."""
    numbered = list(enumerate(visits, start=1))
    for _, group in groupby(numbered, key=lambda each: each[1].stop.place.code):
        rows = list(group)
        point = _point(rows[0][1].stop.place)
        if point is not None:
            codes = ", ".join(visit.stop.code for _, visit in rows)
            label = label_of(letter, rows[0][0], rows[-1][0])
            words = f"{label}: {clock(rows[0][1].begins)} {codes}"
            yield DayStop(point, label, words)


def _point(place: Place) -> tuple[float, float] | None:
    if place.latitude is None or place.longitude is None:
        return None
    return place.longitude, place.latitude
