"""whose card it is: its kind, the id its codes carry, where its values come from and how sure they are.

Columns are added in place, so that the rows that point to a card are not touched.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for name in ("kind", "printed_id", "values_from"):
        op.add_column("card", sa.Column(name, sa.String(), nullable=False, server_default=""))
    op.add_column("card", sa.Column("patch_sd", sa.JSON(), nullable=True))
    op.execute("UPDATE card SET kind = 'grey card' WHERE json_array_length(patches) < 2")
    op.execute("UPDATE card SET kind = 'step card' WHERE json_array_length(patches) > 1")
    # Until now there was one printed strip, told by its name.
    op.execute("UPDATE card SET kind = 'printed strip', printed_id = 'STRIP1' WHERE name = 'Printed strip STRIP1'")
    op.create_table(
        "card_photo",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("photo_id", sa.Integer(), nullable=False),
        sa.Column("known_card_id", sa.Integer(), nullable=False),
        sa.Column("card_id", sa.Integer(), nullable=True),
        *(sa.Column(name, sa.String(), nullable=False) for name in ("name", "kind", "printed_id", "note")),
        sa.Column("steps", sa.Integer(), nullable=False),
        sa.Column("known_corners", sa.JSON(), nullable=False),
        sa.Column("new_corners", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["photo_id"], ["photofile.id"], name=op.f("fk_card_photo_photo_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["known_card_id"], ["card.id"], name=op.f("fk_card_photo_known_card_id")),
        sa.ForeignKeyConstraint(["card_id"], ["card.id"], name=op.f("fk_card_photo_card_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_card_photo")),
    )
    with op.batch_alter_table("card_photo") as batch:
        batch.create_index(batch.f("ix_card_photo_photo_id"), ["photo_id"], unique=False)
