"""Find doubted series at once

Rules of a revision: it imports nothing from this program; data moves through ad-hoc
sa.table(...); every table names its constraints and is STRICT on SQLite (batch mode:
table_kwargs={"sqlite_strict": True}); nothing recorded is lost on the way up.
"""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None

NAME = "ix_outlook_doubted"


def upgrade() -> None:
    op.create_index(
        NAME,
        "outlook",
        ["support_id"],
        unique=False,
        sqlite_where=sa.text("unconfirmed IS 1"),
        postgresql_where=sa.text("unconfirmed IS true"),
    )


def downgrade() -> None:
    op.drop_index(NAME, table_name="outlook")
