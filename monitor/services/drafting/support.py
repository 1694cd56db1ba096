"""One support with its site and tree, checked against the record."""

from dataclasses import replace

from monitor.clock import local_date, new_id
from monitor.domain.places import Tree
from monitor.domain.supports import Member, Support
from monitor.domain.vocabulary import Consequence, Occupancy
from monitor.services.drafting.member import Desk, add_member
from monitor.services.drafting.place import party, site_of, tidy, tree_of
from monitor.services.recording.addition import Addition
from monitor.services.recording.checks import (
    HEAD,
    Doubt,
    Stamp,
    Wanted,
    number,
    one_of,
    plain,
    word,
)
from monitor.services.recording.commands import SupportDraft
from monitor.services.showing.register_view import RegisterView

_INTERVAL = Wanted("interval", "years", 1 / 12, 100)


def draft_support(
    view: RegisterView, draft: SupportDraft, stamp: Stamp, *, timezone: str
) -> Addition:
    """What a support would add to the record. The view takes it in at once.

    Parameters
    ----------
    timezone : of a new site that names none
    """
    addition = Addition(labels=view.labels)
    site = site_of(view, draft.site, stamp, addition, timezone)
    if site is None:
        return addition
    today = local_date(stamp.now, site.timezone)
    desk = Desk(addition, view, stamp, today)
    tree = tree_of(desk, draft.tree, site)
    if tree is None:
        return addition
    support = _support(desk, draft, tree)
    if support is not None:
        addition.support = support
        for part, member in enumerate(draft.members):
            add_member(desk, support, member, part)
        _set_life(desk, support)
    return addition


def _support(desk: Desk, draft: SupportDraft, tree: Tree) -> Support | None:
    addition = desk.addition
    if not draft.code.strip():
        addition.wrong("support", "", "the code on the tag")
    stored = desk.view.supports.get(plain(draft.code))
    said = support_values(desk, draft, tree)
    if addition.problems:
        return None
    if stored is not None:
        return addition.filled_in(stored, said, _NAMES, HEAD)
    if not draft.members:
        addition.wrong("member", "", "at least one member")
        return None
    support = Support(
        id=new_id(), tree_id=tree.id, code=tidy(draft.code), reason="", target="",
        occupancy=Occupancy.CONSTANT, consequence=Consequence.SEVERE,
        installed_on=min(m.installed_on for m in draft.members), removed_on=None,
        installer_id=None, interval_months=None, interval_reason="", note="",
        recorded_at=desk.stamp.now,
    )  # fmt: skip
    for name, words in (("occupancy", Occupancy), ("consequence", Consequence)):
        if said[name] is None:
            taken = getattr(support, name).value
            question = (
                f"{support.code} says nothing of {name} ({one_of(words)}): the "
                f"gravest, “{taken}”, is taken until someone says otherwise"
            )
            addition.doubts.append(Doubt(f"{support.code}/{name}", name, "", question))
    given = {name: value for name, value in said.items() if value is not None}
    return replace(support, **given)  # type: ignore[arg-type]


def support_values(desk: Desk, draft: SupportDraft, tree: Tree) -> dict[str, object]:
    """What is said of a support, checked; None where nothing is said."""
    addition = desk.addition
    occupancy = word(Occupancy, draft.occupancy) if draft.occupancy else None
    if draft.occupancy and occupancy is None:
        addition.wrong("occupancy", draft.occupancy, one_of(Occupancy))
    consequence = word(Consequence, draft.consequence) if draft.consequence else None
    if draft.consequence and consequence is None:
        addition.wrong("consequence", draft.consequence, one_of(Consequence))
    months = _months(addition, draft)
    installer = party(desk.view, draft.installer, desk.stamp, addition)
    return {
        "tree_id": tree.id,
        "reason": draft.reason.strip() or None,
        "target": draft.target.strip() or None,
        "occupancy": occupancy,
        "consequence": consequence,
        "installer_id": installer.id if installer else None,
        "interval_months": months,
        "interval_reason": draft.interval_reason.strip() or None,
        "note": draft.note.strip() or None,
    }


def _months(addition: Addition, draft: SupportDraft) -> int | None:
    if not draft.interval.strip():
        return None
    measure = number(draft.interval, draft.interval_unit, _INTERVAL)
    months = 0.0 if isinstance(measure, str) else 12.0 * measure.value
    if isinstance(measure, str) or abs(months - round(months)) > 0.05:
        expected = measure if isinstance(measure, str) else "a whole number of months"
        addition.wrong("interval", draft.interval, expected)
        return None
    return round(months)


def _set_life(desk: Desk, support: Support) -> None:
    """Let the support live from its first member to the end of its last."""
    addition = desk.addition
    if addition.problems:
        return
    changed = {m.id: m for m in addition.filled if isinstance(m, Member)}
    members = [
        *(changed.get(m.id, m) for m in desk.view.members_of(support.id)),
        *addition.members,
    ]
    ends = [m.removed_on for m in members]
    living = replace(
        support,
        installed_on=min(m.installed_on for m in members),
        removed_on=None if None in ends else max(filter(None, ends)),
    )
    if plain(support.code) not in desk.view.supports:
        addition.supports.append(living)
    elif living != support:
        kept = [f for f in addition.filled if f.id != support.id]
        addition.filled = [*kept, living]


_NAMES = {
    "tree_id": "tree",
    "installer_id": "installer",
    "interval_months": "interval",
    "interval_reason": "interval reason",
}
