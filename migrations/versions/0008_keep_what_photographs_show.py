"""Keep what photographs show

Rules of a revision: it imports nothing from this program; data moves through ad-hoc
sa.table(...); every table names its constraints and is STRICT on SQLite (batch mode:
table_kwargs={"sqlite_strict": True}); nothing recorded is lost on the way up.
"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

_KINDS = (
    "'set aside', 'wrong clock', 'another look', 'work meanwhile', 'photo not measured'"
)


def _id(name, *, nullable=False):
    kind = sa.Uuid().with_variant(sa.Text(), "sqlite")
    return sa.Column(name, kind, nullable=nullable)


def _text(name):
    return sa.Column(name, sa.Text(), nullable=False)


def _number(name):
    kind = sa.Double().with_variant(sa.REAL(), "sqlite")
    return sa.Column(name, kind, nullable=False)


def _instant(name):
    kind = sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite")
    return sa.Column(name, kind, nullable=False)


def _points(table, column, to):
    return sa.ForeignKeyConstraint(
        [column], [f"{to}.id"], name=op.f(f"fk_{table}_{column}_{to}")
    )


def _index(table, column):
    op.create_index(op.f(f"ix_{table}_{column}"), table, [column], unique=False)


def upgrade() -> None:
    op.create_table(
        "sketch",
        _id("id"),
        _id("photo_id"),
        _text("strokes"),
        _text("recorded_by"),
        _instant("recorded_at"),
        _id("supersedes_id", nullable=True),
        _points("sketch", "photo_id", "photo"),
        _points("sketch", "supersedes_id", "sketch"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sketch")),
        sa.UniqueConstraint("supersedes_id", name=op.f("uq_sketch_supersedes_id")),
        sqlite_strict=True,
    )
    _index("sketch", "photo_id")
    op.create_table(
        "photo_measure",
        _id("id"),
        _id("photo_id"),
        _id("mark_id"),
        _id("inspection_id", nullable=True),
        _text("outline"),
        _number("area_mm2"),
        _number("area_sd_mm2"),
        _number("width_mm"),
        _number("width_sd_mm"),
        _number("height_mm"),
        _number("height_sd_mm"),
        _text("shares"),
        _text("camera"),
        _text("care"),
        _text("method_version"),
        _text("recorded_by"),
        _instant("recorded_at"),
        _id("supersedes_id", nullable=True),
        _text("reason"),
        sa.CheckConstraint(
            "area_mm2 >= 0 AND width_mm >= 0 AND height_mm >= 0",
            name=op.f("ck_photo_measure_not_negative"),
        ),
        _points("photo_measure", "inspection_id", "inspection"),
        _points("photo_measure", "mark_id", "mark"),
        _points("photo_measure", "photo_id", "photo"),
        _points("photo_measure", "supersedes_id", "photo_measure"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo_measure")),
        sa.UniqueConstraint(
            "supersedes_id", name=op.f("uq_photo_measure_supersedes_id")
        ),
        sqlite_strict=True,
    )
    for column in ("inspection_id", "mark_id", "photo_id"):
        _index("photo_measure", column)
    op.create_table(
        "field_task",
        _id("id"),
        _text("kind"),
        _id("form_id"),
        _text("support"),
        _id("inspection_id", nullable=True),
        _text("sentence"),
        _text("content"),
        _text("recorded_by"),
        _instant("recorded_at"),
        sa.CheckConstraint(f"kind IN ({_KINDS})", name=op.f("ck_field_task_kind")),
        _points("field_task", "inspection_id", "inspection"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_field_task")),
        sqlite_strict=True,
    )
    for column in ("form_id", "inspection_id"):
        _index("field_task", column)
    op.create_table(
        "field_settlement",
        _id("task_id"),
        _text("how"),
        _text("reason"),
        _text("recorded_by"),
        _instant("recorded_at"),
        sa.CheckConstraint(
            "how IN ('recorded', 'seen', 'not taken')",
            name=op.f("ck_field_settlement_how"),
        ),
        _points("field_settlement", "task_id", "field_task"),
        sa.PrimaryKeyConstraint("task_id", name=op.f("pk_field_settlement")),
        sqlite_strict=True,
    )


def downgrade() -> None:
    for table in ("field_settlement", "field_task", "photo_measure", "sketch"):
        op.drop_table(table)
