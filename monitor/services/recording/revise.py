"""Changing what is registered: one field at a time, with the reason in the ledger.

Places, supports and members are master data and change in place, and the ledger keeps
what they were; as-built facts are evidence and are superseded.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from monitor.clock import local_date, new_id
from monitor.domain.places import Site, Tree
from monitor.domain.supports import Fact, Member, Support
from monitor.errors import InvalidInput, NotFound
from monitor.services.drafting.member import (
    Desk,
    bearing_of,
    fact_spec_named,
    fact_value,
)
from monitor.services.drafting.place import party, site_values, tree_values
from monitor.services.drafting.support import support_values
from monitor.services.recording.addition import Addition
from monitor.services.recording.amend import require_reason
from monitor.services.recording.checks import Stamp, near, plain, refuse
from monitor.services.recording.commands import (
    Revision,
    SiteDraft,
    SupportDraft,
    TreeDraft,
)
from monitor.services.recording.ledger_values import values_of, values_of_all
from monitor.services.recording.register import write_changed
from monitor.services.showing.register_view import RegisterView, view_register
from monitor.store import Session, records
from monitor.store.ledger import append
from monitor.store.lookup import all_in
from monitor.store.stale import mark_stale

Revised = Site | Tree | Support | Member | Fact


def revise(
    session: Session, command: Revision, *, actor: str, now: datetime
) -> Revised:
    """Change one field of a site, tree, support or member, or an as-built fact.

    Raises
    ------
    NotFound : nothing of that code
    InvalidInput : naming what is wrong; nothing is written
    """
    require_reason(command.reason)
    name = plain(command.field.replace("_", " "))
    if not command.text.strip() and name not in _MAY_BE_EMPTY:
        raise InvalidInput("Say what it is to be; blanks say nothing.", field="text")
    first, _, second = (part.strip() for part in command.code.partition("/"))
    view = view_register(session, [first])
    was = _named(view, command.kind, first, second)
    addition = Addition(labels=view.labels)
    better = _revised(addition, view, was, command, Stamp(actor, now))
    refuse(f"The revision of {command.code}", addition.problems)
    records.PARTIES.add(session, addition.parties)
    if isinstance(better, Fact):
        records.FACTS.add(session, [better])
    else:
        write_changed(session, better)
    payload = {
        "now": values_of(better),
        "was": values_of(was),
        "parties": values_of_all(addition.parties),
        "reason": command.reason.strip(),
    }
    subject = "support" if isinstance(was, Support | Member) else command.kind
    change = ("record revised", f"{subject} {first}", payload)
    append(session, [change], actor=actor, now=now)
    mark_stale(session, [s.id for s in _supports_of(session, was)], now)
    return better


def _named(
    view: RegisterView, kind: str, first: str, second: str
) -> Site | Tree | Support | Member:
    site = view.sites.get(plain(first))
    support = view.supports.get(plain(first))
    found: dict[str, Site | Tree | Support | Member | None] = {
        "site": site,
        "tree": view.trees.get((site.id, plain(second))) if site else None,
        "support": support,
        "member": view.members.get((support.id, plain(second))) if support else None,
    }
    if kind not in found:
        raise InvalidInput(f"“{kind}” is none of {', '.join(found)}.", field="kind")
    named = found[kind]
    if named is None:
        code = f"{first}/{second}" if second else first
        raise NotFound(kind, code, hint="Trees are V-1/T1, members S-0142/P1.")
    return named


def _revised(
    addition: Addition,
    view: RegisterView,
    was: Site | Tree | Support | Member,
    command: Revision,
    stamp: Stamp,
) -> Revised:
    if isinstance(was, Member):
        return _revised_member(addition, view, was, command, stamp)
    name = plain(command.field.replace("_", " "))
    names = _FIELDS[type(was)]
    if name not in names:
        hint = near(name, names) or f": {', '.join(names)}"
        addition.wrong("field", command.field, f"a field of a {command.kind}{hint}")
        return was
    said: dict[str, Any] = {  # the names of a draft are checked by `_FIELDS`
        _DRAFT_NAMES.get(name, name.replace(" ", "_")): command.text
    }
    owner = party(view, command.text, stamp, addition) if name in _PARTIES else None
    values: Mapping[str, object]
    match was:
        case Site():
            values = site_values(addition, SiteDraft(was.code, **said))
        case Tree():
            values = tree_values(addition, TreeDraft(was.code, **said))
        case Support():
            values = _support_values(addition, view, was, said, stamp)
    value = owner.id if owner else values[names[name]]
    if name in _MAY_BE_EMPTY:
        value = value or ""
    better: dict[str, Any] = {names[name]: value}
    return was if addition.problems else replace(was, **better)


def _support_values(
    addition: Addition,
    view: RegisterView,
    was: Support,
    said: Mapping[str, Any],
    stamp: Stamp,
) -> Mapping[str, object]:
    tree = next(t for t in view.trees.values() if t.id == was.tree_id)
    draft = SupportDraft(was.code, SiteDraft(""), TreeDraft(""), (), **said)
    desk = Desk(addition, view, stamp, local_date(stamp.now, "UTC"))
    return support_values(desk, draft, tree)


def _revised_member(
    addition: Addition,
    view: RegisterView,
    was: Member,
    command: Revision,
    stamp: Stamp,
) -> Revised:
    name = plain(command.field.replace("_", " "))
    if name == "bearing":
        bearing_deg = bearing_of(addition, command.text, 0)
        return replace(was, bearing_deg=bearing_deg)
    if name == "removal note":
        return replace(was, removal_note=command.text.strip())
    spec = fact_spec_named(was.kind, command.field)
    if spec is None:
        expected = f"bearing, removal note or an as-built fact of a {was.kind.value}"
        addition.wrong("field", command.field, expected)
        return was
    value = fact_value(spec, command.text, "")
    if isinstance(value, str):
        addition.wrong(spec.name, command.text, value)
        return was
    stored = view.facts.get((was.id, spec.name))
    return Fact(
        id=new_id(),
        member_id=was.id,
        name=spec.name,
        number=value[0],
        given=value[1],
        recorded_at=stamp.now,
        supersedes_id=stored.id if stored else None,
    )


def _supports_of(
    session: Session, was: Site | Tree | Support | Member
) -> list[Support]:
    """The supports whose conclusions may change."""
    match was:
        case Support():
            return [was]
        case Member():
            return all_in(session, records.SUPPORTS, "id", [was.support_id])
        case Tree():
            return all_in(session, records.SUPPORTS, "tree_id", [was.id])
        case Site():
            trees = all_in(session, records.TREES, "site_id", [was.id])
            return all_in(session, records.SUPPORTS, "tree_id", (t.id for t in trees))


_FIELDS: Mapping[type, Mapping[str, str]] = {
    Site: {
        "site name": "name",
        "owner": "owner_id",
        "manager": "manager_id",
        "time zone": "timezone",
        "exposure": "exposure",
        "latitude": "latitude",
        "longitude": "longitude",
        "soil": "soil",
        "access": "access_note",
        "quiet seasons": "quiet_seasons",
        "holidays": "holiday_region",
        "access hours": "access_hours",
    },
    Tree: {"species": "species", "heritage": "is_heritage"},
    Support: {
        "reason": "reason",
        "target": "target",
        "occupancy": "occupancy",
        "consequence": "consequence",
        "installer": "installer_id",
        "interval": "interval_months",
        "interval reason": "interval_reason",
        "note": "note",
    },
}
_MAY_BE_EMPTY = frozenset({"holidays", "access hours"})
"""Where nothing is an answer: no holidays are kept, it is open at any time."""

_PARTIES = frozenset({"owner", "manager"})
_DRAFT_NAMES = {"site name": "name", "time zone": "timezone", "access": "access_note"}
