"""The parts of the method notes that are made from the code itself."""

from collections.abc import Iterator

from dashboard.guides.source import Told, ToldModule, modules_of
from dashboard.guides.tables import code, number, table
from monitor.domain.limits import DEFAULT_LIMITS
from monitor.domain.quantities import SERIES, SERIES_LABEL
from monitor.domain.vocabulary import LimitBasis, MemberKind
from monitor.schedule.default_policy import default_policy
from monitor.schedule.event_rules import EVENT_RULES, Trigger
from monitor.schedule.policy import Policy
from monitor.trends.codes import EVIDENCE_WORDS, LOOK_WORDS, REFUSAL_WORDS
from monitor.trends.evidence import DRIFT_RATIOS
from monitor.trends.hyper import DEFAULT_SD_RATIOS, DEFAULT_WEIGHTS, Hyper
from monitor.trends.laws import DANGEROUS_LAW, PRIOR_LAW_WEIGHTS

WEAK = ("from memory", "no source", "weak source", "own simulation")
"""Words by which a source says that nobody saw it on paper."""


def mechanics() -> str:
    """Every relation of mechanics with its sources and its validity."""
    sourced = [m for m in modules_of("monitor.mechanics") if m.told.sources]
    return "\n\n".join(part for module in sourced for part in _relation(module))


def weakest() -> str:
    """What rests on memory or on no source at all, gathered in one place."""
    rows = [
        [code(module.told.name), source]
        for package in ("monitor.mechanics", "monitor.trends")
        for module in modules_of(package)
        for source in (*module.told.sources, *_of_functions(module))
        if any(word in source for word in WEAK)
    ]
    return table(["part", "what it says of its source"], rows)


def trends() -> str:
    """The steps of the analysis, each in its own words."""
    rows = [
        [code(module.told.name), module.told.first, " ".join(module.told.sources)]
        for module in modules_of("monitor.trends")
        if not module.told.name.startswith("plain")
    ]
    return table(["part", "what it answers", "sources"], rows)


def numbers() -> str:
    """The numbers that the analysis starts from, before the fleet has taught it."""
    hyper = Hyper()
    weights = ", ".join(f"{100 * share:g} %" for share in DEFAULT_WEIGHTS)
    spreads = ", ".join(f"1/{round(1 / sd)}" for sd in DEFAULT_SD_RATIOS)
    drifts = ", ".join(f"1/{round(1 / ratio)}" for ratio in DRIFT_RATIOS)
    rows = [
        ["still, moving, fast and broad series at the start", weights],
        ["spread of their slopes, in scales of the series a year", spreads],
        ["sizes of drift that the evidence looks for, in scales a year", drifts],
        ["chance in a year that a series changes its slope", f"{hyper.default.hazard}"],
        ["share of gross errors among readings", f"{100 * hyper.outlier_share:g} %"],
        ["dates later than this are “not expected”", f"{hyper.horizon_years:g} years"],
        ["version of these numbers", code(hyper.version)],
    ]
    return table(["what", "value"], rows)


def laws() -> str:
    """Laws of movement in time and how they are weighed at first."""
    rows = []
    for law_set, weights in PRIOR_LAW_WEIGHTS.items():
        name = str(law_set.name).lower()
        said = ", ".join(
            f"{_words(law.name)} {100 * w:g} %" for law, w in weights.items()
        )
        series = [
            SERIES_LABEL[s] for s, parts in SERIES.items() if parts[0].law == name
        ]
        dangerous = _words(DANGEROUS_LAW[law_set].name)
        rows.append([name, said, dangerous, "; ".join(series)])
    return table(["set", "laws and first weights", "never ruled out", "series"], rows)


def vocabulary() -> str:
    """What the analysis says, and why it refuses to say anything."""
    rows = [["evidence", words] for words in EVIDENCE_WORDS.values()]
    rows += [["next look", words] for words in LOOK_WORDS.values() if words]
    rows += [["refusal", words] for words in REFUSAL_WORDS.values() if words]
    return table(["kind", "words"], rows)


def limits() -> str:
    """Default limits with what they are counted from and where they come from."""
    rows = []
    for limit in DEFAULT_LIMITS.values():
        unit = SERIES[limit.series][0].unit
        watch, act = (
            f"{level:.0%}"
            if limit.basis is LimitBasis.FRACTION
            else f"{level:g} {unit}"
            for level in (limit.watch, limit.act)
        )
        label = SERIES_LABEL[limit.series]
        rows.append([label, watch, act, limit.basis.value, limit.source])
    return table(["series", "watch", "act", "counted from", "source"], rows)


def schedule() -> str:
    """Rules of the proposed policy with their sources."""
    policy = default_policy()
    parts = [_intervals(policy, kind) for kind in MemberKind]
    return "\n\n".join([*parts, _rules(policy), _events()])


def _relation(module: ToldModule) -> Iterator[str]:
    told = module.told
    yield f"### {told.first.rstrip('.')}"
    yield from told.rest
    rows = [
        [code(f.name), " ".join((f.first.removeprefix("Return "), *f.rest))]
        for f in module.functions
        if f.first
    ]
    if rows:
        yield table(["relation", "gives"], rows)
    sources = (*told.sources, *_of_functions(module))
    yield "Sources:\n\n" + "\n".join(f"- {source}" for source in sources)


def _of_functions(module: ToldModule) -> tuple[str, ...]:
    def of(function: Told) -> tuple[str, ...]:
        return tuple(f"{code(function.name)}: {s}" for s in function.sources)

    return tuple(source for function in module.functions for source in of(function))


def _intervals(policy: Policy, kind: MemberKind) -> str:
    rows = []
    for (of, use, harm), cell in policy.routine.items():
        if of is kind:
            within = policy.detailed.get((of, use, harm))
            reach = within.interval.in_words() if within else ""
            said = [use.value, harm.value, cell.interval.in_words(), reach]
            sources = [cell.source] + ([within.source] if within else [])
            rows.append([*said, "; ".join(dict.fromkeys(sources))])
    headings = [
        "use beneath",
        "a failure is",
        "at most every",
        "within reach",
        "source",
    ]
    return f"### Intervals of a {kind.value}\n\n{table(headings, rows)}"


def _rules(policy: Policy) -> str:
    rows = [[_words(rule), source] for rule, source in policy.sources.items()]
    rows.append(["window", policy.window.source])
    rows += [
        [
            f"open finding “{grade.value}”: after {rule.first_days} days, "
            f"then every {rule.again_days}",
            rule.source,
        ]
        for grade, rule in policy.findings.items()
    ]
    return "### Other rules\n\n" + table(["rule", "source"], rows)


def _events() -> str:
    rows = [
        [
            kind.value,
            f"{number(round(t.at_least, 1))} {rule.unit}" if rule.unit else "any",
            *(_days(t, name) for name in ("doubtful", "people", "other")),
            t.source,
        ]
        for kind, rule in EVENT_RULES.items()
        for t in rule.triggers
    ]
    headings = ["event", "from", "on watch or worse", "over people", "others", "source"]
    return f"### Events\n\n{table(headings, rows)}"


def _days(trigger: Trigger, who: str) -> str:
    days: int | None = getattr(trigger, f"{who}_days")
    if days is None:
        return "no look"
    return f"within {days} days" if days else "same day"


def _words(name: str) -> str:
    return name.lower().replace("_", " ").replace("-", " ")
