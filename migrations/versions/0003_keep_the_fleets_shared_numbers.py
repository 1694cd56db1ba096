"""Keep the fleet's shared numbers

Rules of a revision: it imports nothing from this program; data moves through ad-hoc
sa.table(...); every table names its constraints and is STRICT on SQLite (batch mode:
table_kwargs={"sqlite_strict": True}); nothing recorded is lost on the way up.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "calibration",
        sa.Column("version", sa.Text(), nullable=False),
        sa.Column(
            "fitted_at",
            sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
            nullable=False,
        ),
        sa.Column(
            "readings",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        sa.Column("numbers", sa.Text(), nullable=False),
        sa.Column("audits", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("version", name=op.f("pk_calibration")),
        sqlite_strict=True,
    )


def downgrade() -> None:
    op.drop_table("calibration")
