"""Know people by their provider

Rules of a revision: it imports nothing from this program; data moves through ad-hoc
sa.table(...); every table names its constraints and is STRICT on SQLite (batch mode:
table_kwargs={"sqlite_strict": True}); nothing recorded is lost on the way up.
"""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

_STRICT = {"sqlite_strict": True}


def _text(name):
    return sa.Column(name, sa.Text(), nullable=False)


def _id(name):
    kind = sa.Uuid().with_variant(sa.Text(), "sqlite")
    return sa.Column(name, kind, nullable=False)


def _instant(name, *, nullable=False):
    kind = sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite")
    return sa.Column(name, kind, nullable=nullable)


def _anew():
    """SQLite sets an added column on the line of the last: the table is made anew."""
    return "always" if op.get_bind().dialect.name == "sqlite" else "auto"


def upgrade() -> None:
    with op.batch_alter_table(
        "sign_in", recreate=_anew(), table_kwargs=_STRICT
    ) as sign_in:
        sign_in.add_column(_instant("proved_at", nullable=True))
    op.create_table(
        "outside_name",
        _text("subject_hash"),
        _id("account_id"),
        _instant("bound_at"),
        sa.ForeignKeyConstraint(
            ["account_id"],
            ["account.id"],
            name=op.f("fk_outside_name_account_id_account"),
        ),
        sa.PrimaryKeyConstraint("subject_hash", name=op.f("pk_outside_name")),
        sqlite_strict=True,
    )
    op.create_index(
        op.f("ix_outside_name_account_id"), "outside_name", ["account_id"], unique=False
    )
    op.create_table(
        "sign_in_begun",
        _text("state_hash"),
        _text("nonce"),
        _text("verifier"),
        _text("next_path"),
        _instant("begun_at"),
        sa.PrimaryKeyConstraint("state_hash", name=op.f("pk_sign_in_begun")),
        sqlite_strict=True,
    )
    op.create_index(
        op.f("ix_sign_in_begun_begun_at"), "sign_in_begun", ["begun_at"], unique=False
    )


def downgrade() -> None:
    op.drop_table("sign_in_begun")
    op.drop_table("outside_name")
    with op.batch_alter_table("sign_in", table_kwargs=_STRICT) as sign_in:
        sign_in.drop_column("proved_at")
