"""Why an inspection is due, with the source of each rule: the long answer."""

from dataclasses import dataclass
from datetime import date

from monitor.schedule.due import History, reasons
from monitor.schedule.policy import Policy, governing


@dataclass(frozen=True, slots=True)
class Line:
    """One rule that spoke.

    Attributes
    ----------
    source : where the rule comes from; the person to ask for a client's interval
    """

    rule: str
    due_on: date
    sentence: str
    source: str


def explain(history: History, policy: Policy, today: date) -> tuple[Line, ...]:
    """Every rule that spoke, earliest first; the first one governs."""
    return tuple(
        Line(
            reason.rule,
            reason.due_on,
            reason.sentence,
            source_of(reason.rule, history, policy),
        )
        for reason in reasons(history, policy, today)
    )


def source_of(rule: str, history: History, policy: Policy) -> str:
    """Where a rule comes from, as the policy says it."""
    tables = {"duty-interval": policy.routine, "detailed-interval": policy.detailed}
    if rule in tables:
        who = (history.kinds, history.occupancy, history.consequence)
        found = governing(tables[rule], *who)
        return found[1].source if found is not None else ""
    if rule == "open-finding" and history.worst_finding is not None:
        finding_rule = policy.findings.get(history.worst_finding[1])
        return finding_rule.source if finding_rule is not None else ""
    if rule == "client-interval":
        return history.client_interval_reason or "the client or a statute"
    return policy.sources.get(rule, "")
