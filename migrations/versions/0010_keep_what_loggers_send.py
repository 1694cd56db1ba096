"""Keep what loggers send

Rules of a revision: it imports nothing from this program; data moves through ad-hoc
sa.table(...); every table names its constraints and is STRICT on SQLite (batch mode:
table_kwargs={"sqlite_strict": True}); nothing recorded is lost on the way up.
"""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def _id(name):
    kind = sa.Uuid().with_variant(sa.Text(), "sqlite")
    return sa.Column(name, kind, nullable=False)


def _text(name):
    return sa.Column(name, sa.Text(), nullable=False)


def _instant(name):
    kind = sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite")
    return sa.Column(name, kind, nullable=False)


def upgrade() -> None:
    op.create_table(
        "logger_batch",
        _id("id"),
        _id("sending"),
        _id("mark_id"),
        _text("quantity"),
        _instant("first_at"),
        _instant("last_at"),
        sa.Column(
            "count",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        _text("content"),
        _text("recorded_by"),
        _instant("recorded_at"),
        sa.CheckConstraint("count >= 1", name=op.f("ck_logger_batch_count")),
        sa.CheckConstraint("last_at >= first_at", name=op.f("ck_logger_batch_last_at")),
        sa.ForeignKeyConstraint(
            ["mark_id"], ["mark.id"], name=op.f("fk_logger_batch_mark_id_mark")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_logger_batch")),
        sqlite_strict=True,
    )
    for column in ("mark_id", "sending"):
        name = op.f(f"ix_logger_batch_{column}")
        op.create_index(name, "logger_batch", [column], unique=False)


def downgrade() -> None:
    op.drop_table("logger_batch")
