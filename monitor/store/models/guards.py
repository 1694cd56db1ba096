"""What the database itself refuses: changes and removals of evidence.

Evidence is only ever added to. Master data change in place (the ledger keeps what they
were) and are never removed. Everything else can be worked out anew or is passing.
Triggers say no on both engines, whoever asks.

The one way past: columns that name a person may be changed while the newest entry of
the ledger says that an erasure has begun.
"""

from dataclasses import dataclass

import sqlalchemy as sa

ERASURE_BEGUN = "erasure begun"

EVIDENCE: dict[str, tuple[str, ...]] = {
    "stem_diameter": (),
    "fact": (),
    "mark": (),
    "limit_override": (),
    "inspection": ("inspector", "recorded_by"),
    "reading": (),
    "finding": (),
    "closure": (),
    "work": ("done_by", "recorded_by"),
    "segment": (),
    "photo": (),
    "sketch": ("recorded_by",),
    "photo_measure": ("recorded_by",),
    "field_task": ("content", "recorded_by"),
    "field_settlement": ("recorded_by",),
    "event_call": (),
    "logger_batch": ("recorded_by",),
    "deferral": ("name", "recorded_by"),
    "site_closure": ("recorded_by",),
    "crown_wish": ("recorded_by",),
    "policy": ("adopted_by",),
    "agreed_round": ("person", "recorded_by"),
    "agreed_stop": (),
    "travel_table": ("recorded_by",),
    "import": ("recorded_by",),
    "ledger": ("actor", "origin", "reason", "payload", "salt"),
    "ledger_node": (),
}
"""Tables that are only added to, and their columns that name a person."""

MASTER = (
    "party", "site", "tree", "support", "member", "instrument", "event", "account",
)  # fmt: skip
"""Tables whose rows change in place, with a ledger entry, and are never removed."""

PASSING = (
    "outlook", "standing", "due", "stale", "calibration", "lease", "job_run", "sign_in",
    "recipient", "notice", "calendar_shown",
    "entry_key", "known_device", "wrong_tries", "second_factor", "recovery_code",
    "outside_name", "sign_in_begun",
)  # fmt: skip
"""Conclusions that can be worked out anew, and traces of running and telling."""

SECRET: dict[str, tuple[str, ...]] = {"account": ("password_hash",)}
"""Columns that let someone in: in no hash and in no archive."""


@dataclass(frozen=True, slots=True)
class Guard:
    """One trigger, as each engine wants it."""

    name: str
    table: str
    sqlite: str
    postgresql: str


_REFUSE = """\
CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  {unless}RAISE EXCEPTION USING
    ERRCODE = 'integrity_constraint_violation',
    MESSAGE = TG_TABLE_NAME || ' is kept: ' || TG_ARGV[0];
END $$"""

_CHANGED = "a correction is a new row"
_REMOVED = "nothing recorded is removed"
_REPLACED = "nothing recorded is replaced"
_NO_ERASURE = (
    "coalesce((SELECT action FROM ledger ORDER BY seq DESC LIMIT 1), '')"
    f" <> '{ERASURE_BEGUN}'"
)
_UNLESS_ERASING = f"IF NOT ({_NO_ERASURE}) THEN RETURN coalesce(NEW, OLD); END IF;\n  "
POSTGRES_FUNCTIONS = (
    _REFUSE.format(name="refuse_change", unless=""),
    _REFUSE.format(name="refuse_change_unless_erasing", unless=_UNLESS_ERASING),
)


def guards_of(table: sa.Table) -> list[Guard]:
    """The triggers a table is to have; none for what is passing."""
    if table.name not in EVIDENCE and table.name not in MASTER:
        return []
    found = [_no_delete(table), _no_truncate(table), _no_replace(table)]
    if table.name in EVIDENCE:
        found += _no_update(table, EVIDENCE[table.name])
    return [guard for guard in found if guard.sqlite or guard.postgresql]


def guard_all(metadata: sa.MetaData) -> None:
    """Have the triggers made with the tables."""
    for table in metadata.sorted_tables:
        for guard in guards_of(table):
            for engine in ("sqlite", "postgresql"):
                sql = getattr(guard, engine)
                if sql:
                    ddl = _ddl(sql, engine)
                    sa.event.listen(table, "after_create", ddl)
    for function in POSTGRES_FUNCTIONS:
        sa.event.listen(metadata, "before_create", _ddl(function, "postgresql"))


def take_off(connection: sa.Connection) -> None:
    """Drop every guard, for a migration; in the transaction that puts them back."""
    for name, table in _present(connection):
        on = "" if connection.dialect.name == "sqlite" else f' ON "{table}"'
        connection.exec_driver_sql(f'DROP TRIGGER "{name}"{on}')


def put_on(connection: sa.Connection, metadata: sa.MetaData) -> None:
    """Make every guard anew."""
    take_off(connection)
    engine = connection.dialect.name
    if engine == "postgresql":
        for function in POSTGRES_FUNCTIONS:
            connection.exec_driver_sql(function)
    for guard in (g for table in metadata.sorted_tables for g in guards_of(table)):
        sql = getattr(guard, engine)
        if sql:
            connection.exec_driver_sql(sql)


def missing_guards(connection: sa.Connection, metadata: sa.MetaData) -> list[str]:
    """Names of guards that are not in the database."""
    engine = connection.dialect.name
    present = {name for name, _ in _present(connection)}
    return [
        guard.name
        for table in metadata.sorted_tables
        for guard in guards_of(table)
        if getattr(guard, engine) and guard.name not in present
    ]


_LIST = {
    "sqlite": "SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": (
        "SELECT tgname, relname FROM pg_trigger JOIN pg_class ON tgrelid = "
        "pg_class.oid WHERE NOT tgisinternal AND tgenabled <> 'D'"
    ),
}


def _present(connection: sa.Connection) -> list[tuple[str, str]]:
    rows = connection.exec_driver_sql(_LIST[connection.dialect.name]).fetchall()
    return [(name, table) for name, table in rows if "_no_" in name]


def _ddl(sql: str, engine: str) -> sa.DDL:
    """A statement for one engine; SQLAlchemy leaves its class untyped."""
    ddl: sa.DDL = sa.DDL(sql).execute_if(dialect=engine)  # type: ignore[no-untyped-call]
    return ddl


def _no_update(table: sa.Table, personal: tuple[str, ...]) -> list[Guard]:
    if not personal:
        return [_guard(table, "no_update", "UPDATE", _CHANGED)]
    facts = [column.name for column in table.c if column.name not in personal]
    named = ", ".join(f'"{name}"' for name in facts)
    return [
        _guard(table, "no_update", "UPDATE", _CHANGED, when=_NO_ERASURE),
        _guard(table, "no_fact_update", f"UPDATE OF {named}", _CHANGED),
    ]


def _no_delete(table: sa.Table) -> Guard:
    return _guard(table, "no_delete", "DELETE", _REMOVED)


def _no_truncate(table: sa.Table) -> Guard:
    name = f"{table.name}_no_truncate"
    return Guard(
        name,
        table.name,
        "",
        f'CREATE TRIGGER "{name}" BEFORE TRUNCATE ON "{table.name}" FOR EACH STATEMENT '
        f"EXECUTE FUNCTION refuse_change('{_REMOVED}')",
    )


def _no_replace(table: sa.Table) -> Guard:
    """On SQLite INSERT OR REPLACE removes rows without asking the other triggers."""
    same = " OR ".join(
        "(" + " AND ".join(f'"{name}" = NEW."{name}"' for name in key) + ")"
        for key in _unique_keys(table)
    )
    when = f'EXISTS (SELECT 1 FROM "{table.name}" WHERE {same})'
    guard = _guard(table, "no_replace", "INSERT", _REPLACED, when=when)
    return Guard(guard.name, guard.table, guard.sqlite, "")


def _unique_keys(table: sa.Table) -> list[list[str]]:
    unique = [
        [column.name for column in constraint.columns]
        for constraint in table.constraints
        if isinstance(constraint, sa.UniqueConstraint)
    ]
    return [[column.name for column in table.primary_key], *sorted(unique)]


def _guard(
    table: sa.Table, what: str, event: str, why: str, *, when: str = ""
) -> Guard:
    name, on = f"{table.name}_{what}", f'BEFORE {event} ON "{table.name}"'
    sqlite_when = f" WHEN {when}" if when else ""
    sqlite = (
        f'CREATE TRIGGER "{name}" {on}{sqlite_when} BEGIN '
        f"SELECT RAISE(ABORT, '{table.name} is kept: {why}'); END"
    )
    return Guard(name, table.name, sqlite, _on_postgres(name, on, why, when))


def _on_postgres(name: str, on: str, why: str, when: str) -> str:
    """PostgreSQL allows no question to a table in WHEN: the function asks."""
    function = "refuse_change_unless_erasing" if when else "refuse_change"
    return (
        f'CREATE TRIGGER "{name}" {on} FOR EACH ROW EXECUTE FUNCTION '
        f"{function}('{why}')"
    )
