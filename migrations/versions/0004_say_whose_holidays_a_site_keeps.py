"""Say whose holidays a site keeps

Rules of a revision: it imports nothing from this program; data moves through ad-hoc
sa.table(...); every table names its constraints and is STRICT on SQLite (batch mode:
table_kwargs={"sqlite_strict": True}); nothing recorded is lost on the way up.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

_STRICT = {"sqlite_strict": True}


def upgrade() -> None:
    with op.batch_alter_table("site", table_kwargs=_STRICT) as site:
        site.add_column(
            sa.Column("holiday_region", sa.Text(), nullable=False, server_default="")
        )
    with op.batch_alter_table("site", table_kwargs=_STRICT) as site:
        site.alter_column("holiday_region", server_default=None)


def downgrade() -> None:
    with op.batch_alter_table("site", table_kwargs=_STRICT) as site:
        site.drop_column("holiday_region")
