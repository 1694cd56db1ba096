"""Make the ledger a tree

Rules of a revision: it imports nothing from this program; data moves through ad-hoc
sa.table(...); every table names its constraints and is STRICT on SQLite (batch mode:
table_kwargs={"sqlite_strict": True}); nothing recorded is lost on the way up.
"""

import hashlib

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

_STRICT = {"sqlite_strict": True}
_WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
_NEW = {
    "form": (_WHOLE, 1),
    "origin": (sa.Text(), ""),
    "reason": (sa.Text(), ""),
    "row_hashes": (sa.Text(), "[]"),
    "salt": (sa.Text(), ""),
    "commitment": (sa.Text(), ""),
}
_FIRST_KEPT_LEVEL = 8


def upgrade() -> None:
    with op.batch_alter_table("ledger", table_kwargs=_STRICT) as batch_op:
        for name, (kind, _) in _NEW.items():
            batch_op.add_column(sa.Column(name, kind, nullable=True))
        batch_op.add_column(
            sa.Column(
                "device_at",
                sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
                nullable=True,
            )
        )
    ledger = sa.table("ledger", *(sa.column(n, k) for n, (k, _) in _NEW.items()))
    op.get_bind().execute(
        ledger.update().values({name: old for name, (_, old) in _NEW.items()})
    )
    with op.batch_alter_table("ledger", table_kwargs=_STRICT) as batch_op:
        for name, (kind, _) in _NEW.items():
            batch_op.alter_column(name, existing_type=kind, nullable=False)
        batch_op.create_check_constraint("form", "form IN (1, 2)")
    op.create_table(
        "ledger_node",
        sa.Column("level", _WHOLE, autoincrement=False, nullable=False),
        sa.Column("place", _WHOLE, autoincrement=False, nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.CheckConstraint("level >= 1", name=op.f("ck_ledger_node_level")),
        sa.PrimaryKeyConstraint("level", "place", name=op.f("pk_ledger_node")),
        sqlite_strict=True,
    )
    _grow(op.get_bind())


def downgrade() -> None:
    op.drop_table("ledger_node")
    with op.batch_alter_table("ledger", table_kwargs=_STRICT) as batch_op:
        batch_op.drop_constraint(op.f("ck_ledger_form"), type_="check")
        batch_op.drop_column("device_at")
        for name in _NEW:
            batch_op.drop_column(name)


def _grow(connection) -> None:
    """Hash the entries there are into the nodes of the tree, level by level."""
    node = sa.table(
        "ledger_node",
        sa.column("level", _WHOLE),
        sa.column("place", _WHOLE),
        sa.column("hash", sa.Text()),
    )
    leaves = connection.execute(sa.text("SELECT leaf_hash FROM ledger ORDER BY seq"))
    hashes, level = [bytes.fromhex(leaf) for leaf in leaves.scalars()], 0
    while len(hashes) > 1:
        level += 1
        pairs = zip(hashes[0::2], hashes[1::2], strict=False)
        hashes = [hashlib.sha256(b"\x01" + a + b).digest() for a, b in pairs]
        rows = [
            {"level": level, "place": place, "hash": one.hex()}
            for place, one in enumerate(hashes)
        ]
        if rows and level >= _FIRST_KEPT_LEVEL:
            connection.execute(node.insert(), rows)
