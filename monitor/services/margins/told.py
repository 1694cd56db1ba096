"""Margins as lines for people and as rows for programs."""

from collections.abc import Sequence

from monitor.domain.percent import chance, percent
from monitor.services.margins.member_margin import MemberMargin

MANY = 10.0


def share(use: float) -> str:
    """What is carried over what is allowed, such as “63 %”."""
    if use >= MANY:
        return f"more than {MANY:.0f} times"
    return percent(use)


def with_bounds(margin: MemberMargin) -> str:
    """What is carried today, with its 5 and 95 % bounds."""
    now = margin.at(0.0)
    bounds = f"{share(margin.low[now])} to {share(margin.high[now])}"
    return f"{share(margin.use[now])} ({bounds})"


def margin_words(margin: MemberMargin) -> str:
    """What a member carries as built, today and ahead, in sentences."""
    words = f"{today_words(margin)}{other_words(margin)}"
    if margin.years[0] < 0.0:
        words += f" As built it was {share(margin.use[0])}."
    return f"{words} {ahead_words(margin)}"


def today_words(margin: MemberMargin) -> str:
    """What a member carries today."""
    now = margin.at(0.0)
    return (
        f"The {margin.parts[now]} governs. It carries {with_bounds(margin)} of what is "
        f"allowed today by {margin.by}, and more than is allowed with "
        f"{chance(margin.over_one[now])} probability."
    )


def other_words(margin: MemberMargin) -> str:
    """What the method that leaves more room says; empty where there is none."""
    other = margin.other
    if other is None or other.refused:
        return ""
    now = other.at(0.0)
    part = margin.parts[now]
    without = "" if part in other.judged else f", which leaves the {part} out,"
    would = f"it would be {with_bounds(other)}; the narrower counts."
    return f" By {other.by}{without} {would}"


def ahead_words(margin: MemberMargin) -> str:
    """When it may carry more than is allowed."""
    early, today = margin.early_on, margin.case.known.today
    if early is None:
        last = today.year + round(margin.years[-1])
        return f"The chance of passing it stays below 5\u202f% until {last}."
    if early <= today:
        return "That is more than the 5\u202f% at which someone should look into it."
    return f"The chance of passing it reaches 5\u202f% in {early.year}."


def margin_lines(margins: Sequence[MemberMargin]) -> list[str]:
    """Every member's margin with method, what it stands on and what is missing."""
    lines: list[str] = []
    for margin in margins:
        lines += ["", f"Margin of {margin.case.known.label}, screening only:"]
        if margin.refused:
            lines += [f"  none. {why}" for why in margin.refused]
            continue
        lines.append(f"  {margin_words(margin)}")
        lines.append(f"  Method: {margin.method}.")
        lines += [
            f"  {given.basis.capitalize()}: {given.label}, {given.value} ({given.why})."
            for given in margin.inputs
        ]
        lines += [f"  Taken for granted: {text}" for text in margin.assumed]
        lines += [f"  Missing: {text}" for text in margin.missing]
    return lines


def margin_rows(margins: Sequence[MemberMargin]) -> list[dict[str, object]]:
    """The same for programs; `years` count from today, 1 is all that is allowed."""
    return [
        {
            "member": margin.case.known.member.code,
            "years": margin.years if not margin.refused else (),
            "use": margin.use,
            "low": margin.low,
            "high": margin.high,
            "over_one": margin.over_one,
            "governs": margin.parts,
            "early_on": margin.early_on,
            "method": margin.method,
            "other": _other_row(margin.other),
            "inputs": [
                {"label": i.label, "value": i.value, "basis": i.basis, "why": i.why}
                for i in margin.inputs
            ],
            "assumed": margin.assumed,
            "missing": margin.missing,
            "refused": margin.refused,
            "caution": margin.caution,
        }
        for margin in margins
    ]


def _other_row(other: MemberMargin | None) -> dict[str, object] | None:
    if other is None:
        return None
    names = ("method", "use", "low", "high", "over_one", "early_on", "refused")
    return {name: getattr(other, name) for name in names}
