"""${message}

Rules of a revision: it imports nothing from this program; data moves through ad-hoc
sa.table(...); every table names its constraints and is STRICT on SQLite (batch mode:
table_kwargs={"sqlite_strict": True}); nothing recorded is lost on the way up. env.py
takes the guards of the evidence off and puts them on again, so rows may be moved here;
but every column of a kept table is hashed before and after, and one that is to differ is
declared: CHANGES = {("table", "column")}. A new column of a kept table says nothing for
the rows there are (NULL, empty text, no), or the ledger no longer vouches for them.
"""

import sqlalchemy as sa
from alembic import op
${imports if imports else ""}
revision = ${repr(up_revision)}
down_revision = ${repr(down_revision)}
branch_labels = None
depends_on = None


def upgrade() -> None:
    ${upgrades if upgrades else "pass"}


def downgrade() -> None:
    ${downgrades if downgrades else "pass"}
