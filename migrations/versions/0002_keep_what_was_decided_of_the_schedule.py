"""Keep what was decided of the schedule

Rules of a revision: it imports nothing from this program; data moves through ad-hoc
sa.table(...); every table names its constraints and is STRICT on SQLite (batch mode:
table_kwargs={"sqlite_strict": True}); nothing recorded is lost on the way up.
"""

import json
from datetime import date, timedelta

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_STRICT = {"sqlite_strict": True}
_DAY = sa.Date().with_variant(sa.Text(), "sqlite")
_FLAG = sa.Boolean().with_variant(sa.Integer(), "sqlite")
_OLD_LINE = "seriously-late"


def upgrade() -> None:
    op.create_table(
        "policy",
        sa.Column("id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=False),
        sa.Column(
            "version",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("adopted_by", sa.Text(), nullable=False),
        sa.Column(
            "recorded_at",
            sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
            nullable=False,
        ),
        sa.CheckConstraint("version >= 1", name=op.f("ck_policy_version")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_policy")),
        sa.UniqueConstraint("version", name=op.f("uq_policy_version")),
        sqlite_strict=True,
    )
    op.create_table(
        "site_closure",
        sa.Column("id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=False),
        sa.Column(
            "site_id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=False
        ),
        sa.Column(
            "first_on", sa.Date().with_variant(sa.Text(), "sqlite"), nullable=False
        ),
        sa.Column(
            "last_on", sa.Date().with_variant(sa.Text(), "sqlite"), nullable=False
        ),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column(
            "withdrawn",
            sa.Boolean().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        sa.Column("recorded_by", sa.Text(), nullable=False),
        sa.Column(
            "recorded_at",
            sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
            nullable=False,
        ),
        sa.Column(
            "supersedes_id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=True
        ),
        sa.CheckConstraint("last_on >= first_on", name=op.f("ck_site_closure_last_on")),
        sa.ForeignKeyConstraint(
            ["site_id"], ["site.id"], name=op.f("fk_site_closure_site_id_site")
        ),
        sa.ForeignKeyConstraint(
            ["supersedes_id"],
            ["site_closure.id"],
            name=op.f("fk_site_closure_supersedes_id_site_closure"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_site_closure")),
        sa.UniqueConstraint(
            "supersedes_id", name=op.f("uq_site_closure_supersedes_id")
        ),
        sqlite_strict=True,
    )
    with op.batch_alter_table("site_closure", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_site_closure_site_id"), ["site_id"], unique=False
        )

    op.create_table(
        "crown_wish",
        sa.Column("id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=False),
        sa.Column(
            "support_id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=False
        ),
        sa.Column("state", sa.Text(), nullable=True),
        sa.Column("leaf_out", sa.Text(), nullable=False),
        sa.Column("leaf_fall", sa.Text(), nullable=False),
        sa.Column("recorded_by", sa.Text(), nullable=False),
        sa.Column(
            "recorded_at",
            sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
            nullable=False,
        ),
        sa.Column(
            "supersedes_id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=True
        ),
        sa.CheckConstraint(
            "state IN ('in leaf', 'leafless', 'turning')",
            name=op.f("ck_crown_wish_state"),
        ),
        sa.ForeignKeyConstraint(
            ["supersedes_id"],
            ["crown_wish.id"],
            name=op.f("fk_crown_wish_supersedes_id_crown_wish"),
        ),
        sa.ForeignKeyConstraint(
            ["support_id"],
            ["support.id"],
            name=op.f("fk_crown_wish_support_id_support"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_crown_wish")),
        sa.UniqueConstraint("supersedes_id", name=op.f("uq_crown_wish_supersedes_id")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("crown_wish", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_crown_wish_support_id"), ["support_id"], unique=False
        )

    op.create_table(
        "deferral",
        sa.Column("id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=False),
        sa.Column(
            "support_id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=False
        ),
        sa.Column("rule", sa.Text(), nullable=False),
        sa.Column(
            "from_on", sa.Date().with_variant(sa.Text(), "sqlite"), nullable=False
        ),
        sa.Column(
            "until_on", sa.Date().with_variant(sa.Text(), "sqlite"), nullable=False
        ),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column(
            "given_on", sa.Date().with_variant(sa.Text(), "sqlite"), nullable=False
        ),
        sa.Column(
            "withdrawn",
            sa.Boolean().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        sa.Column("recorded_by", sa.Text(), nullable=False),
        sa.Column(
            "recorded_at",
            sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
            nullable=False,
        ),
        sa.Column(
            "supersedes_id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=True
        ),
        sa.CheckConstraint("until_on > from_on", name=op.f("ck_deferral_until_on")),
        sa.ForeignKeyConstraint(
            ["supersedes_id"],
            ["deferral.id"],
            name=op.f("fk_deferral_supersedes_id_deferral"),
        ),
        sa.ForeignKeyConstraint(
            ["support_id"], ["support.id"], name=op.f("fk_deferral_support_id_support")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_deferral")),
        sa.UniqueConstraint("supersedes_id", name=op.f("uq_deferral_supersedes_id")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("deferral", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_deferral_support_id"), ["support_id"], unique=False
        )

    op.create_table(
        "event_call",
        sa.Column("id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=False),
        sa.Column(
            "event_id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=False
        ),
        sa.Column(
            "support_id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=False
        ),
        sa.Column(
            "place",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column(
            "happened_on", sa.Date().with_variant(sa.Text(), "sqlite"), nullable=False
        ),
        sa.Column(
            "done_by_on", sa.Date().with_variant(sa.Text(), "sqlite"), nullable=False
        ),
        sa.Column(
            "again_days",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            nullable=True,
        ),
        sa.Column("standing", sa.Text(), nullable=False),
        sa.Column(
            "recorded_at",
            sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
            nullable=False,
        ),
        sa.CheckConstraint(
            "standing IN ('holding', 'watch', 'act', 'make safe')",
            name=op.f("ck_event_call_standing"),
        ),
        sa.CheckConstraint("again_days >= 1", name=op.f("ck_event_call_again_days")),
        sa.CheckConstraint(
            "done_by_on >= happened_on", name=op.f("ck_event_call_done_by_on")
        ),
        sa.ForeignKeyConstraint(
            ["event_id"], ["event.id"], name=op.f("fk_event_call_event_id_event")
        ),
        sa.ForeignKeyConstraint(
            ["support_id"],
            ["support.id"],
            name=op.f("fk_event_call_support_id_support"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_event_call")),
        sa.UniqueConstraint(
            "event_id",
            "support_id",
            "happened_on",
            name=op.f("uq_event_call_event_id_support_id_happened_on"),
        ),
        sqlite_strict=True,
    )
    with op.batch_alter_table("event_call", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_event_call_event_id"), ["event_id"], unique=False
        )
        batch_op.create_index(
            batch_op.f("ix_event_call_support_id"), ["support_id"], unique=False
        )

    _add_required("due", "serious_on", _DAY, _fill_serious_on)
    _add_required("event", "withdrawn", _FLAG, _fill_withdrawn)


def downgrade() -> None:
    for table, column in (("event", "withdrawn"), ("due", "serious_on")):
        with op.batch_alter_table(table, table_kwargs=_STRICT) as batch_op:
            batch_op.drop_column(column)

    with op.batch_alter_table("event_call", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_event_call_support_id"))
        batch_op.drop_index(batch_op.f("ix_event_call_event_id"))

    op.drop_table("event_call")
    with op.batch_alter_table("deferral", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_deferral_support_id"))

    op.drop_table("deferral")
    with op.batch_alter_table("crown_wish", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_crown_wish_support_id"))

    op.drop_table("crown_wish")
    with op.batch_alter_table("site_closure", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_site_closure_site_id"))

    op.drop_table("site_closure")
    op.drop_table("policy")


def _add_required(table, name, kind, fill) -> None:
    """Add a column, fill it for the rows there are, then require it."""
    with op.batch_alter_table(table, table_kwargs=_STRICT) as batch_op:
        batch_op.add_column(sa.Column(name, kind, nullable=True))
    fill(op.get_bind())
    with op.batch_alter_table(table, table_kwargs=_STRICT) as batch_op:
        batch_op.alter_column(name, existing_type=kind, nullable=False)


def _fill_serious_on(connection) -> None:
    """The day stood as a line among the reasons; it gets a column of its own."""
    id_type = sa.Uuid().with_variant(sa.Text(), "sqlite")
    due = sa.table(
        "due",
        sa.column("support_id", id_type),
        sa.column("late_on", _DAY),
        sa.column("reasons", sa.Text()),
        sa.column("serious_on", _DAY),
    )
    rows = connection.execute(sa.select(due.c.support_id, due.c.late_on, due.c.reasons))
    for key, late_on, text in rows.fetchall():
        lines = json.loads(text)
        said = [on for rule, on, _ in lines if rule == _OLD_LINE]
        late = date.fromisoformat(str(late_on))
        serious = date.fromisoformat(said[0]) if said else late + timedelta(days=182)
        kept = [line for line in lines if line[0] != _OLD_LINE]
        is_text = isinstance(late_on, str)
        connection.execute(
            due.update()
            .where(due.c.support_id == key)
            .values(
                serious_on=serious.isoformat() if is_text else serious,
                reasons=json.dumps(
                    kept, sort_keys=True, separators=(",", ":"), ensure_ascii=False
                ),
            )
        )


def _fill_withdrawn(connection) -> None:
    event = sa.table("event", sa.column("withdrawn", _FLAG))
    is_sqlite = connection.dialect.name == "sqlite"
    connection.execute(event.update().values(withdrawn=0 if is_sqlite else False))
