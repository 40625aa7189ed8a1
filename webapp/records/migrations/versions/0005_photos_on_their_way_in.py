"""photos on their way in: the list of an import, so that it goes on after a crash and takes nothing twice."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

SITES = (
    *("left brow", "right brow", "left upper eyeliner", "right upper eyeliner"),
    *("left lower eyeliner", "right lower eyeliner"),
)
STATES = ("open", "ready", "done", "failed", "left out")


def _known(column: str, words: tuple[str, ...]) -> sa.CheckConstraint:
    listed = ", ".join(repr(word) for word in words)
    return sa.CheckConstraint(f"{column} IN ({listed})", name=op.f(f"ck_photo_import_item_{column}_known"))


def upgrade() -> None:
    op.create_table(
        "photo_import",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo_import")),
    )
    op.create_table(
        "photo_import_item",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("import_id", sa.Integer(), nullable=False),
        sa.Column("path", sa.String(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("client_id", sa.Integer(), nullable=True),
        sa.Column("site", sa.String(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=True),
        sa.Column("day_from", sa.String(), nullable=False),
        sa.Column("card_id", sa.Integer(), nullable=True),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("sentence", sa.String(), nullable=False),
        _known("site", ("", *SITES)),
        _known("state", STATES),
        _known("day_from", ("", "camera", "name")),
        sa.ForeignKeyConstraint(
            ["import_id"], ["photo_import.id"], name=op.f("fk_photo_import_item_import_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["client_id"], ["client.id"], name=op.f("fk_photo_import_item_client_id"), ondelete="SET NULL"
        ),
        sa.ForeignKeyConstraint(
            ["card_id"], ["card.id"], name=op.f("fk_photo_import_item_card_id"), ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo_import_item")),
        sa.UniqueConstraint("import_id", "path", name="uq_photo_import_item_once"),
    )
    with op.batch_alter_table("photo_import_item") as batch:
        batch.create_index(batch.f("ix_photo_import_item_import_id"), ["import_id"], unique=False)
        batch.create_index(batch.f("ix_photo_import_item_client_id"), ["client_id"], unique=False)
