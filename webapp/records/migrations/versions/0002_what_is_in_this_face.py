"""what is in this face: constituents, bottles, swatches, aims, skin, scopes of consent, settings."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # A table that is written anew loses its checks unless they are named again.
    op.create_table(
        "studiosetting",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("value", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_studiosetting")),
    )
    op.create_table(
        "bottle",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("pigment_id", sa.Integer(), nullable=False),
        sa.Column("batch", sa.String(), nullable=False),
        sa.Column("opened_on", sa.Date(), nullable=True),
        sa.Column("expires_on", sa.Date(), nullable=True),
        sa.Column("months_after_opening", sa.Integer(), nullable=True),
        sa.Column("empty_on", sa.Date(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["pigment_id"], ["pigment.id"], name=op.f("fk_bottle_pigment_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bottle")),
    )
    with op.batch_alter_table("bottle") as batch:
        batch.create_index(batch.f("ix_bottle_pigment_id"), ["pigment_id"], unique=False)

    op.create_table(
        "constituent",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("pigment_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("colour_index", sa.String(), nullable=False),
        sa.Column("share_percent", sa.Float(), nullable=True),
        sa.Column("role", sa.String(), nullable=False),
        sa.CheckConstraint(
            "role IN ('colourant', 'carrier', 'preservative', 'other', 'unknown')",
            name=op.f("ck_constituent_role_known"),
        ),
        sa.ForeignKeyConstraint(
            ["pigment_id"], ["pigment.id"], name=op.f("fk_constituent_pigment_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_constituent")),
    )
    with op.batch_alter_table("constituent") as batch:
        batch.create_index(batch.f("ix_constituent_pigment_id"), ["pigment_id"], unique=False)

    op.create_table(
        "questioning",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_id", sa.Integer(), nullable=False),
        sa.Column("asked_on", sa.Date(), nullable=False),
        sa.Column("answers", sa.JSON(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["client_id"], ["client.id"], name=op.f("fk_questioning_client_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_questioning")),
    )
    with op.batch_alter_table("questioning") as batch:
        batch.create_index(batch.f("ix_questioning_client_id"), ["client_id"], unique=False)

    op.create_table(
        "swatch",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("pigment_id", sa.Integer(), nullable=False),
        sa.Column("photo_id", sa.Integer(), nullable=False),
        sa.Column("card_id", sa.Integer(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("card_patches", sa.JSON(), nullable=False),
        sa.Column("outline", sa.JSON(), nullable=False),
        sa.Column("lab", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("spread", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("shared", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("grade", sa.String(), nullable=False),
        sa.Column("reasons", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["card_id"], ["card.id"], name=op.f("fk_swatch_card_id")),
        sa.ForeignKeyConstraint(["photo_id"], ["photofile.id"], name=op.f("fk_swatch_photo_id"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["pigment_id"], ["pigment.id"], name=op.f("fk_swatch_pigment_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_swatch")),
    )
    with op.batch_alter_table("swatch") as batch:
        batch.create_index(batch.f("ix_swatch_photo_id"), ["photo_id"], unique=False)
        batch.create_index(batch.f("ix_swatch_pigment_id"), ["pigment_id"], unique=False)

    with op.batch_alter_table("client") as batch:
        batch.add_column(sa.Column("skin_type", sa.String(), server_default="", nullable=False))
        batch.add_column(sa.Column("undertone", sa.String(), server_default="", nullable=False))
        batch.add_column(sa.Column("age_band", sa.String(), server_default="", nullable=False))
        batch.add_column(sa.Column("skin_quality", sa.String(), server_default="", nullable=False))
        batch.create_check_constraint(
            "age_band_known",
            "age_band IN ('', 'under 25', '25 to 34', '35 to 44', '45 to 54', '55 to 64', '65 and over')",
        )
        batch.create_check_constraint(
            "skin_quality_known", "skin_quality IN ('', 'thin', 'mature', 'thin and mature', 'neither')"
        )
        batch.create_check_constraint("skin_type_known", "skin_type IN ('', 'I', 'II', 'III', 'IV', 'V', 'VI')")

    with op.batch_alter_table("consent") as batch:
        batch.add_column(sa.Column("note", sa.String(), server_default="", nullable=False))
        batch.create_check_constraint("scope_known", "scope IN ('photo storage', 'studio statistics', 'teaching')")

    with op.batch_alter_table("follow_up") as batch:
        batch.add_column(sa.Column("outline_from", sa.String(), server_default="", nullable=False))
        batch.add_column(sa.Column("outline_confidence", sa.Float(), nullable=True))
        batch.create_check_constraint("outline_from_known", "outline_from IN ('', 'drawn', 'proposed', 'carried over')")

    with op.batch_alter_table("measurement") as batch:
        batch.add_column(sa.Column("outline_lab", sa.JSON(none_as_null=True), nullable=True))
        batch.add_column(sa.Column("outline_spread", sa.JSON(none_as_null=True), nullable=True))
        batch.add_column(sa.Column("outline_shared", sa.JSON(none_as_null=True), nullable=True))

    with op.batch_alter_table("photofile") as batch:
        batch.alter_column("client_id", existing_type=sa.INTEGER(), nullable=True)

    with op.batch_alter_table("pigment") as batch:
        batch.add_column(sa.Column("shade", sa.String(), server_default="", nullable=False))
        batch.add_column(sa.Column("maker", sa.String(), server_default="", nullable=False))
        batch.add_column(sa.Column("label", sa.String(), server_default="", nullable=False))
        batch.add_column(sa.Column("family_because", sa.String(), server_default="", nullable=False))
        batch.add_column(sa.Column("sites", sa.JSON(), server_default="[]", nullable=False))
        batch.create_check_constraint("family_known", "family IN ('carbon/organic', 'inorganic', 'hybrid', 'unknown')")

    with op.batch_alter_table("session") as batch:
        batch.add_column(sa.Column("day_is_rough", sa.Boolean(), server_default="0", nullable=False))
        batch.add_column(sa.Column("hand", sa.String(), server_default="", nullable=False))
        batch.add_column(sa.Column("diluted_parts", sa.Float(), nullable=True))
        batch.add_column(sa.Column("baseline_follow_up_id", sa.Integer(), nullable=True))
        batch.add_column(sa.Column("baseline_because", sa.String(), server_default="", nullable=False))
        batch.create_foreign_key(
            batch.f("fk_session_baseline_follow_up_id"),
            "follow_up",
            ["baseline_follow_up_id"],
            ["id"],
            ondelete="SET NULL",
        )
        batch.create_check_constraint("hand_known", "hand IN ('', 'light', 'medium', 'heavy')")
        batch.create_check_constraint(
            "kind_known",
            "kind IN ('first session', 'touch-up', 'colour boost', 'correction', 'removal', 'earlier work')",
        )
        batch.create_check_constraint(
            "technique_known",
            "technique IN ('powder brow', 'ombré brow', 'microblading', 'combination', 'eyeliner', 'other')",
        )

    with op.batch_alter_table("sessionpigment") as batch:
        batch.add_column(sa.Column("bottle_id", sa.Integer(), nullable=True))
        batch.add_column(sa.Column("parts", sa.Float(), nullable=True))
        batch.create_foreign_key(
            batch.f("fk_sessionpigment_bottle_id"), "bottle", ["bottle_id"], ["id"], ondelete="SET NULL"
        )

    with op.batch_alter_table("work") as batch:
        batch.add_column(sa.Column("aim_lab", sa.JSON(none_as_null=True), nullable=True))
        batch.add_column(sa.Column("aim_from", sa.String(), server_default="", nullable=False))
        batch.add_column(sa.Column("aim_agreed_on", sa.Date(), nullable=True))
        batch.add_column(sa.Column("aim_note", sa.String(), server_default="", nullable=False))
        batch.create_check_constraint("aim_from_known", "aim_from IN ('', 'photo', 'swatch', 'baseline')")
        batch.create_check_constraint(
            "site_known",
            "site IN ('left brow', 'right brow', 'left upper eyeliner', 'right upper eyeliner', "
            "'left lower eyeliner', 'right lower eyeliner')",
        )
