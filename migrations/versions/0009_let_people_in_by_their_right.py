"""Let people in by their right

Rules of a revision: it imports nothing from this program; data moves through ad-hoc
sa.table(...); every table names its constraints and is STRICT on SQLite (batch mode:
table_kwargs={"sqlite_strict": True}); nothing recorded is lost on the way up.
"""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

_STRICT = {"sqlite_strict": True}


def _id(name, *, nullable=False):
    kind = sa.Uuid().with_variant(sa.Text(), "sqlite")
    return sa.Column(name, kind, nullable=nullable)


def _text(name, **more):
    return sa.Column(name, sa.Text(), nullable=False, **more)


def _instant(name, *, nullable=False):
    kind = sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite")
    return sa.Column(name, kind, nullable=nullable)


def _whole(name):
    kind = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    return sa.Column(name, kind, nullable=False)


def _points(table, column, to):
    return sa.ForeignKeyConstraint(
        [column], [f"{to}.id"], name=op.f(f"fk_{table}_{column}_{to}")
    )


def _key(table, column="id"):
    return sa.PrimaryKeyConstraint(column, name=op.f(f"pk_{table}"))


def _once(table, column):
    return sa.UniqueConstraint(column, name=op.f(f"uq_{table}_{column}"))


def _index(table, column):
    op.create_index(op.f(f"ix_{table}_{column}"), table, [column], unique=False)


def upgrade() -> None:
    with op.batch_alter_table("account", table_kwargs=_STRICT) as account:
        account.add_column(_id("party_id", nullable=True))
        account.create_foreign_key(
            op.f("fk_account_party_id_party"), "party", ["party_id"], ["id"]
        )
        account.create_index(op.f("ix_account_party_id"), ["party_id"])
    with op.batch_alter_table("sign_in", table_kwargs=_STRICT) as sign_in:
        sign_in.add_column(_text("address", server_default=""))
        sign_in.add_column(_text("browser", server_default=""))
    with op.batch_alter_table("sign_in", table_kwargs=_STRICT) as sign_in:
        sign_in.alter_column("address", server_default=None)
        sign_in.alter_column("browser", server_default=None)
    op.create_table(
        "entry_key",
        _id("id"),
        _text("kind"),
        _id("account_id", nullable=True),
        _id("support_id", nullable=True),
        _text("token_hash"),
        _text("label"),
        _text("scope"),
        _text("made_by"),
        _instant("made_at"),
        _instant("ends_at"),
        _instant("used_at", nullable=True),
        _instant("ended_at", nullable=True),
        sa.CheckConstraint(
            "kind IN ('invitation', 'reset', 'token', 'share')",
            name=op.f("ck_entry_key_kind"),
        ),
        sa.CheckConstraint(
            "scope IN ('read', 'record')", name=op.f("ck_entry_key_scope")
        ),
        _points("entry_key", "account_id", "account"),
        _points("entry_key", "support_id", "support"),
        _key("entry_key"),
        _once("entry_key", "token_hash"),
        sqlite_strict=True,
    )
    _index("entry_key", "account_id")
    _index("entry_key", "support_id")
    op.create_table(
        "known_device",
        _id("id"),
        _id("account_id"),
        _text("token_hash"),
        _instant("seen_at"),
        _points("known_device", "account_id", "account"),
        _key("known_device"),
        _once("known_device", "token_hash"),
        sqlite_strict=True,
    )
    _index("known_device", "account_id")
    op.create_table(
        "wrong_tries",
        _text("key"),
        _whole("count"),
        _instant("last_at"),
        _key("wrong_tries", "key"),
        sqlite_strict=True,
    )
    _index("wrong_tries", "last_at")
    op.create_table(
        "second_factor",
        _id("account_id"),
        _text("secret"),
        _instant("confirmed_at", nullable=True),
        _whole("last_step"),
        _points("second_factor", "account_id", "account"),
        _key("second_factor", "account_id"),
        sqlite_strict=True,
    )
    op.create_table(
        "recovery_code",
        _id("id"),
        _id("account_id"),
        _text("code_hash"),
        _instant("used_at", nullable=True),
        _points("recovery_code", "account_id", "account"),
        _key("recovery_code"),
        sqlite_strict=True,
    )
    _index("recovery_code", "account_id")


def downgrade() -> None:
    for table in (
        "recovery_code",
        "second_factor",
        "wrong_tries",
        "known_device",
        "entry_key",
    ):
        op.drop_table(table)
    with op.batch_alter_table("sign_in", table_kwargs=_STRICT) as sign_in:
        sign_in.drop_column("browser")
        sign_in.drop_column("address")
    with op.batch_alter_table("account", table_kwargs=_STRICT) as account:
        account.drop_index(op.f("ix_account_party_id"))
        account.drop_constraint(op.f("fk_account_party_id_party"), type_="foreignkey")
        account.drop_column("party_id")
