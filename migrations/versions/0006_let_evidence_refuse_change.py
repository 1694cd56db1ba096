"""Let evidence refuse change

The triggers themselves follow from the tables there are: `env.py` takes them off before
any revision and puts them on after the last. This revision only marks from when on a
database must have them.
"""

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    pass


def downgrade() -> None:
    pass
