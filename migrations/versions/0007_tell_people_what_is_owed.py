"""Tell people what is owed

Rules of a revision: it imports nothing from this program; data moves through ad-hoc
sa.table(...); every table names its constraints and is STRICT on SQLite (batch mode:
table_kwargs={"sqlite_strict": True}); nothing recorded is lost on the way up.
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:

    op.create_table(
        "recipient",
        sa.Column("id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("channel", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("sites", sa.Text(), nullable=False),
        sa.Column(
            "wants_digest",
            sa.Boolean().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        sa.Column(
            "digest_day",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        sa.Column(
            "digest_minute",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        sa.Column(
            "wants_empty",
            sa.Boolean().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        sa.Column(
            "wants_escalations",
            sa.Boolean().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        sa.Column("timezone", sa.Text(), nullable=False),
        sa.Column(
            "quiet_from",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            nullable=True,
        ),
        sa.Column(
            "quiet_to",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            nullable=True,
        ),
        sa.Column("recorded_by", sa.Text(), nullable=False),
        sa.Column(
            "recorded_at",
            sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
            nullable=False,
        ),
        sa.CheckConstraint(
            "channel IN ('e-mail', 'webhook')", name=op.f("ck_recipient_channel")
        ),
        sa.CheckConstraint(
            "digest_day BETWEEN 0 AND 6", name=op.f("ck_recipient_digest_day")
        ),
        sa.CheckConstraint(
            "digest_minute BETWEEN 0 AND 1439", name=op.f("ck_recipient_digest_minute")
        ),
        sa.CheckConstraint(
            "quiet_from BETWEEN 0 AND 1439", name=op.f("ck_recipient_quiet_from")
        ),
        sa.CheckConstraint(
            "quiet_to BETWEEN 0 AND 1439", name=op.f("ck_recipient_quiet_to")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_recipient")),
        sa.UniqueConstraint("name", name=op.f("uq_recipient_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "notice",
        sa.Column("id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column(
            "recipient_id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=True
        ),
        sa.Column("topic", sa.Text(), nullable=False),
        sa.Column("period", sa.Text(), nullable=False),
        sa.Column(
            "covers",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        sa.Column(
            "is_urgent",
            sa.Boolean().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("lines", sa.Text(), nullable=False),
        sa.Column(
            "raised_at",
            sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
            nullable=False,
        ),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column(
            "folded_into_id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=True
        ),
        sa.Column("message_id", sa.Text(), nullable=False),
        sa.Column(
            "attempts",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            nullable=False,
        ),
        sa.Column(
            "next_try_at",
            sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
            nullable=False,
        ),
        sa.Column("claimed_by", sa.Text(), nullable=False),
        sa.Column(
            "claimed_until",
            sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
            nullable=True,
        ),
        sa.Column(
            "ended_at",
            sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
            nullable=True,
        ),
        sa.Column("error", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "kind IN ('digest', 'escalation', 'undelivered', 'trial')",
            name=op.f("ck_notice_kind"),
        ),
        sa.CheckConstraint(
            "state IN ('waiting', 'sent', 'failed', 'folded into another', 'not sent')",
            name=op.f("ck_notice_state"),
        ),
        sa.CheckConstraint("attempts >= 0", name=op.f("ck_notice_attempts")),
        sa.CheckConstraint("covers >= 0", name=op.f("ck_notice_covers")),
        sa.ForeignKeyConstraint(
            ["folded_into_id"],
            ["notice.id"],
            name=op.f("fk_notice_folded_into_id_notice"),
        ),
        sa.ForeignKeyConstraint(
            ["recipient_id"],
            ["recipient.id"],
            name=op.f("fk_notice_recipient_id_recipient"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_notice")),
        sa.UniqueConstraint("key", name=op.f("uq_notice_key")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("notice", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_notice_folded_into_id"), ["folded_into_id"], unique=False
        )
        batch_op.create_index(
            batch_op.f("ix_notice_recipient_id_topic"),
            ["recipient_id", "topic"],
            unique=False,
        )
        batch_op.create_index(
            batch_op.f("ix_notice_state_next_try_at"),
            ["state", "next_try_at"],
            unique=False,
        )

    op.create_table(
        "calendar_shown",
        sa.Column("scope", sa.Text(), nullable=False),
        sa.Column(
            "support_id", sa.Uuid().with_variant(sa.Text(), "sqlite"), nullable=False
        ),
        sa.Column(
            "since_at",
            sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
            nullable=False,
        ),
        sa.Column(
            "gone_at",
            sa.DateTime(timezone=True).with_variant(sa.Text(), "sqlite"),
            nullable=True,
        ),
        sa.ForeignKeyConstraint(
            ["support_id"],
            ["support.id"],
            name=op.f("fk_calendar_shown_support_id_support"),
        ),
        sa.PrimaryKeyConstraint("scope", "support_id", name=op.f("pk_calendar_shown")),
        sqlite_strict=True,
    )


def downgrade() -> None:

    op.drop_table("calendar_shown")
    with op.batch_alter_table("notice", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_notice_state_next_try_at"))
        batch_op.drop_index(batch_op.f("ix_notice_recipient_id_topic"))
        batch_op.drop_index(batch_op.f("ix_notice_folded_into_id"))

    op.drop_table("notice")
    op.drop_table("recipient")
