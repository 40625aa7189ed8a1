"""what was judged: verdicts and rates of works, kept so that pages over the whole studio are quick."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

RATES = ("lightness", "a", "b", "warmth", "own_warmth", "own_cross", "fading")


def upgrade() -> None:
    # The triggers that forget verdicts are set at every start (records/judged.py), since a table that is written
    # anew by a later migration would lose them.
    op.create_table(
        "judged_work",
        sa.Column("work_id", sa.Integer(), nullable=False),
        sa.Column("stamp", sa.String(), nullable=False),
        sa.Column("flag", sa.JSON(), nullable=False),
        sa.Column("present", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["work_id"], ["work.id"], name=op.f("fk_judged_work_work_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("work_id", name=op.f("pk_judged_work")),
    )
    op.create_table(
        "judged_cycle",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("work_id", sa.Integer(), nullable=False),
        sa.Column("session_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        *(
            sa.Column(name, sa.String(), nullable=False)
            for name in ("technique", "artist", "hand", "family", "pigments")
        ),
        sa.Column("photos", sa.Integer(), nullable=False),
        sa.Column("months", sa.Float(), nullable=False),
        *(sa.Column(name, sa.Float(), nullable=True) for name in ("skin_l", "skin_a", "skin_b")),
        *(sa.Column(name, sa.Float(), nullable=True) for rate in RATES for name in (rate, f"{rate}_se")),
        sa.ForeignKeyConstraint(
            ["work_id"], ["judged_work.work_id"], name=op.f("fk_judged_cycle_work_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_judged_cycle")),
    )
    with op.batch_alter_table("judged_cycle") as batch:
        batch.create_index(batch.f("ix_judged_cycle_work_id"), ["work_id"], unique=False)
