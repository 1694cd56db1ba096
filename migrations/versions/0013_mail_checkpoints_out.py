"""Mail checkpoints out

Rules of a revision: it imports nothing from this program; data moves through ad-hoc
sa.table(...); every table names its constraints and is STRICT on SQLite (batch mode:
table_kwargs={"sqlite_strict": True}); nothing recorded is lost on the way up.
"""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

_STRICT = {"sqlite_strict": True}
_KINDS = ("digest", "escalation", "undelivered", "trial", "confirmation")


def upgrade() -> None:
    _let_kinds((*_KINDS, "checkpoint"))


def downgrade() -> None:
    notice = sa.table("notice", sa.column("kind", sa.Text()))
    op.execute(sa.delete(notice).where(notice.c.kind == "checkpoint"))
    _let_kinds(_KINDS)


def _let_kinds(kinds: tuple[str, ...]) -> None:
    told = ", ".join(f"'{kind}'" for kind in kinds)
    with op.batch_alter_table("notice", table_kwargs=_STRICT) as notice:
        notice.drop_constraint(op.f("ck_notice_kind"), type_="check")
        notice.create_check_constraint(op.f("ck_notice_kind"), f"kind IN ({told})")
