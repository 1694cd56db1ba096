"""Keep agreed rounds, the travel table, hours of access, answered addresses

Rules of a revision: it imports nothing from this program; data moves through ad-hoc
sa.table(...); every table names its constraints and is STRICT on SQLite (batch mode:
table_kwargs={"sqlite_strict": True}); nothing recorded is lost on the way up.
"""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

_STRICT = {"sqlite_strict": True}
_KINDS = ("digest", "escalation", "undelivered", "trial")


def _id(name, *, nullable=False):
    kind = sa.Uuid().with_variant(sa.Text(), "sqlite")
    return sa.Column(name, kind, nullable=nullable)


def _text(name, *, nullable=False):
    return sa.Column(name, sa.Text(), nullable=nullable)


def _instant(name, *, nullable=False):
    kind = sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite")
    return sa.Column(name, kind, nullable=nullable)


def _whole(*names):
    kind = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    return [sa.Column(name, kind, nullable=False) for name in names]


def _flag(name):
    kind = sa.Boolean().with_variant(sa.Integer(), "sqlite")
    return sa.Column(name, kind, nullable=False)


def _check(table, name, said):
    return sa.CheckConstraint(said, name=op.f(f"ck_{table}_{name}"))


def _points(table, column, to):
    name = op.f(f"fk_{table}_{column}_{to}")
    return sa.ForeignKeyConstraint([column], [f"{to}.id"], name=name)


def _once(table, *columns):
    name = op.f(f"uq_{table}_{'_'.join(columns)}")
    return sa.UniqueConstraint(*columns, name=name)


def _key(table):
    return sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}"))


def upgrade() -> None:
    _add_rounds()
    op.create_table(
        "travel_table",
        _id("id"),
        *_whole("version"),
        _text("file_name"),
        _text("unit"),
        _text("ways"),
        _text("recorded_by"),
        _instant("recorded_at"),
        _check("travel_table", "version", "version >= 1"),
        _check("travel_table", "unit", "unit IN ('min', 'km')"),
        _key("travel_table"),
        _once("travel_table", "version"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("site", table_kwargs=_STRICT) as site:
        site.add_column(
            sa.Column("access_hours", sa.Text(), nullable=False, server_default="")
        )
    with op.batch_alter_table("site", table_kwargs=_STRICT) as site:
        site.alter_column("access_hours", server_default=None)
    _ask_for_answers()


def downgrade() -> None:
    notice = sa.table("notice", sa.column("kind", sa.Text()))
    op.execute(sa.delete(notice).where(notice.c.kind == "confirmation"))
    _let_kinds(_KINDS)
    with op.batch_alter_table("recipient", table_kwargs=_STRICT) as recipient:
        recipient.drop_column("asked_at")
        recipient.drop_column("confirmed_at")
    with op.batch_alter_table("site", table_kwargs=_STRICT) as site:
        site.drop_column("access_hours")
    op.drop_table("travel_table")
    op.drop_table("agreed_stop")
    op.drop_table("agreed_round")


def _add_rounds() -> None:
    day = sa.Date().with_variant(sa.Text(), "sqlite")
    op.create_table(
        "agreed_round",
        _id("id"),
        _id("root_id"),
        *_whole("version"),
        _text("person"),
        _text("skills", nullable=True),
        *_whole("begins_min", "ends_min", "break_min"),
        sa.Column("planned_on", day, nullable=False),
        _text("start"),
        *_whole("leaves_min", "back_min", "travel_min"),
        _flag("withdrawn"),
        _text("reason"),
        _text("recorded_by"),
        _instant("recorded_at"),
        _id("supersedes_id", nullable=True),
        _check("agreed_round", "version", "version >= 1"),
        _check("agreed_round", "begins_min", "begins_min BETWEEN 0 AND ends_min"),
        _check("agreed_round", "ends_min", "ends_min <= 1440"),
        _check("agreed_round", "back_min", "back_min >= leaves_min"),
        _points("agreed_round", "supersedes_id", "agreed_round"),
        _key("agreed_round"),
        _once("agreed_round", "root_id", "version"),
        _once("agreed_round", "supersedes_id"),
        sqlite_strict=True,
    )
    op.create_index(
        op.f("ix_agreed_round_planned_on"), "agreed_round", ["planned_on"], unique=False
    )
    op.create_table(
        "agreed_stop",
        _id("id"),
        _id("round_id"),
        *_whole("place"),
        _id("support_id"),
        *_whole("begins_min", "ends_min", "travel_min"),
        _flag("is_pinned"),
        _check("agreed_stop", "place", "place >= 1"),
        _check("agreed_stop", "ends_min", "ends_min >= begins_min"),
        _points("agreed_stop", "round_id", "agreed_round"),
        _points("agreed_stop", "support_id", "support"),
        _key("agreed_stop"),
        _once("agreed_stop", "round_id", "place"),
        _once("agreed_stop", "round_id", "support_id"),
        sqlite_strict=True,
    )
    op.create_index(
        op.f("ix_agreed_stop_support_id"), "agreed_stop", ["support_id"], unique=False
    )


def _ask_for_answers() -> None:
    """Whoever was told before goes on being told: those addresses count as answered."""
    recreate = "always" if op.get_bind().dialect.name == "sqlite" else "never"
    with op.batch_alter_table(
        "recipient", table_kwargs=_STRICT, recreate=recreate
    ) as recipient:
        recipient.add_column(_instant("confirmed_at", nullable=True))
        recipient.add_column(_instant("asked_at", nullable=True))
    recipient = sa.table(
        "recipient", sa.column("confirmed_at"), sa.column("recorded_at")
    )
    op.execute(sa.update(recipient).values(confirmed_at=recipient.c.recorded_at))
    _let_kinds((*_KINDS, "confirmation"))


def _let_kinds(kinds) -> None:
    told = ", ".join(f"'{kind}'" for kind in kinds)
    with op.batch_alter_table("notice", table_kwargs=_STRICT) as notice:
        notice.drop_constraint(op.f("ck_notice_kind"), type_="check")
        notice.create_check_constraint(op.f("ck_notice_kind"), f"kind IN ({told})")
