"""How far one viewer's questions reach: the one place where rows are kept from someone.

Every statement of a session with a reach passes here on its way to the database. A
question is given, in front of it, tables of the same names that hold only what the
viewer may see (common table expressions, which both engines prefer to the stored
table), so no query has to think of it and none can forget it. A change is taken only
for tables that the viewer may write. A table that is not listed here holds nothing for
an owner and is written by nobody.
"""

import re
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import sqlalchemy as sa

from monitor.domain.rights import Right, may
from monitor.domain.vocabulary import Role
from monitor.errors import NotAllowed
from monitor.store.models import Base

OPTION = "underprop_reach"


@dataclass(frozen=True, slots=True)
class Reach:
    """What a session may see and change.

    Attributes
    ----------
    owner_id : whose sites are seen; None for every site
    support_id : the only support that is seen; None for all of them
    role : what may be changed follows from it; None for nothing at all
    """

    owner_id: UUID | None = None
    support_id: UUID | None = None
    role: Role | None = None

    @property
    def is_narrow(self) -> bool:
        """Whether less than everything is seen."""
        return self.owner_id is not None or self.support_id is not None


_BY_SUPPORT = "support_id IN (SELECT id FROM support)"
_BY_MEMBER = "member_id IN (SELECT id FROM member)"
_BY_INSPECTION = "inspection_id IN (SELECT root_id FROM inspection)"
_BY_PHOTO = "photo_id IN (SELECT id FROM photo)"
_NOTHING = "1 = 0"
_EVERYTHING = "1 = 1"

SEEN: dict[str, str] = {
    "stem_diameter": "tree_id IN (SELECT id FROM tree)",
    "member": _BY_SUPPORT,
    "fact": _BY_MEMBER,
    "mark": _BY_MEMBER,
    "limit_override": _BY_SUPPORT,
    "inspection": _BY_SUPPORT,
    "reading": _BY_INSPECTION,
    "logger_batch": "mark_id IN (SELECT id FROM mark)",
    "finding": _BY_INSPECTION,
    "closure": "finding_id IN (SELECT root_id FROM finding)",
    "work": _BY_SUPPORT,
    "segment": "work_id IN (SELECT root_id FROM work)",
    "photo": _BY_SUPPORT,
    "sketch": _BY_PHOTO,
    "photo_measure": _BY_PHOTO,
    "outlook": _BY_SUPPORT,
    "standing": _BY_SUPPORT,
    "due": _BY_SUPPORT,
    "stale": _BY_SUPPORT,
    "event_call": _BY_SUPPORT,
    "event": f"{_BY_SUPPORT} OR id IN (SELECT event_id FROM event_call)",
    "deferral": _BY_SUPPORT,
    "agreed_stop": _BY_SUPPORT,
    "agreed_round": "id IN (SELECT round_id FROM agreed_stop)",
    "site_closure": "site_id IN (SELECT id FROM site)",
    "crown_wish": _BY_SUPPORT,
    "field_task": "support IN (SELECT code FROM support)",
    "field_settlement": "task_id IN (SELECT id FROM field_task)",
    "calendar_shown": _BY_SUPPORT,
    "ledger": (
        "subject IN (SELECT 'support ' || CAST(id AS text) FROM support"
        " UNION ALL SELECT 'support ' || code FROM support"
        " UNION ALL SELECT 'inspection ' || CAST(root_id AS text) FROM inspection"
        " UNION ALL SELECT 'work ' || CAST(root_id AS text) FROM work)"
    ),
    "policy": _EVERYTHING,
    "instrument": _EVERYTHING,
}
"""Of each table, the rows that belong to what the viewer may see.

Sites, trees, supports and parties are in `_roots`. A row stands below those it names:
PostgreSQL gives a table of this list to those after it only.
"""

_RIGHT_FOR: dict[Right, tuple[str, ...]] = {
    Right.RECORD: (
        "inspection", "reading", "finding", "closure", "work", "segment", "photo",
        "sketch", "photo_measure", "mark", "fact", "member", "instrument", "field_task",
        "field_settlement", "stem_diameter", "limit_override", "logger_batch",
    ),
    Right.KEEP_REGISTER: ("party", "site", "tree", "support", "import"),
    Right.PLAN: (
        "event", "event_call", "deferral", "site_closure", "crown_wish",
        "agreed_round", "agreed_stop", "travel_table",
    ),
    Right.SET_POLICY: ("policy",),
    Right.TELL: ("recipient",),
    Right.LOOK_AFTER_ACCOUNTS: (
        "account", "sign_in", "entry_key", "known_device", "second_factor",
        "recovery_code", "outside_name", "sign_in_begun",
    ),
}  # fmt: skip
WRITTEN = {table: right for right, tables in _RIGHT_FOR.items() for table in tables}
"""The right that writing a table needs."""

FOLLOWS = frozenset(
    {"ledger", "ledger_node", "stale", "outlook", "standing", "due", "calibration",
     "notice", "calendar_shown"}
)  # fmt: skip
"""Written along with any change, so by whoever may change anything."""

_CHANGE = re.compile(
    r'\s*(?:INSERT\s+INTO|UPDATE|DELETE\s+FROM)\s+"?(\w+)', re.IGNORECASE
)
_HIDDEN_CHANGE = re.compile(
    r'\b(?:INSERT\s+INTO|DELETE\s+FROM|UPDATE\s+"?\w+"?\s+SET)\b', re.IGNORECASE
)
_QUESTION = re.compile(r"\s*(WITH\s+RECURSIVE|WITH|SELECT|\()", re.IGNORECASE)
_BETWEEN = re.compile(r"(BEGIN( IMMEDIATE)?$|SAVEPOINT |RELEASE |ROLLBACK TO )")
_NAME = re.compile(r"\w+")


def watch(engine: sa.Engine) -> None:
    """Have every statement of a session with a reach pass through it."""

    @sa.event.listens_for(engine, "before_cursor_execute", retval=True)
    def before(
        connection: sa.Connection,
        _cursor: object,
        statement: str,
        parameters: Any,  # noqa: ANN401 - whatever the driver takes
        _context: object,
        _many: bool,
    ) -> tuple[str, Any]:
        reach = connection.get_execution_options().get(OPTION)
        if isinstance(reach, Reach):
            statement = within(reach, statement, connection.dialect.name)
        return statement, parameters


def within(reach: Reach, statement: str, engine: str) -> str:
    """The statement as this reach allows it.

    Raises
    ------
    NotAllowed : it changes what the viewer may not change
    """
    if _BETWEEN.match(statement):
        return statement
    asked = _QUESTION.match(statement)
    if asked is None or _HIDDEN_CHANGE.search(statement):
        _require_may_write(reach, statement)
        return statement
    shadows = ", ".join(_shadows(reach, statement, engine)) if reach.is_narrow else ""
    if not shadows:
        return statement
    if asked.group(1).upper().startswith("WITH"):
        return f"{asked.group(1)} {shadows}, {statement[asked.end() :].lstrip()}"
    return f"WITH {shadows} {statement}"


def _require_may_write(reach: Reach, statement: str) -> None:
    found = _CHANGE.match(statement)
    table = found.group(1) if found else ""
    if reach.role is not None and not reach.is_narrow:
        right = WRITTEN.get(table)
        if right is not None and may(reach.role, right):
            return
        if table in FOLLOWS and any(may(reach.role, r) for r in _RIGHT_FOR):
            return
    raise NotAllowed("This account may not change that.", code="acc-004")


def _shadows(reach: Reach, statement: str, engine: str) -> list[str]:
    """The tables that the statement speaks of, directly or through another."""
    seen = {**_roots(reach), **SEEN}
    wanted: set[str] = set()
    todo = [statement]
    while todo:
        for name in set(_NAME.findall(todo.pop())) & Base.metadata.tables.keys():
            if name not in wanted:
                wanted.add(name)
                todo.append(seen.get(name, ""))
    schema = "main." if engine == "sqlite" else ""
    order = [*seen, *sorted(wanted - seen.keys())]
    return [
        f'"{name}" AS NOT MATERIALIZED (SELECT * FROM {schema}"{name}" '
        f"WHERE {seen.get(name, _NOTHING)})"
        for name in order
        if name in wanted
    ]


def _roots(reach: Reach) -> dict[str, str]:
    """Where the reach begins: at an owner's sites, or at one support."""
    parties = (
        "id IN (SELECT owner_id FROM site) OR id IN (SELECT manager_id FROM site)"
        " OR id IN (SELECT installer_id FROM support)"
    )
    if reach.support_id is None:
        return {
            "site": f"owner_id = '{reach.owner_id}'",
            "tree": "site_id IN (SELECT id FROM site)",
            "support": "tree_id IN (SELECT id FROM tree)",
            "party": parties,
        }
    whose = f"owner_id = '{reach.owner_id}'" if reach.owner_id else _EVERYTHING
    return {
        "support": f"id = '{reach.support_id}'",
        "tree": "id IN (SELECT tree_id FROM support)",
        "site": f"{whose} AND id IN (SELECT site_id FROM tree)",
        "party": parties,
    }
