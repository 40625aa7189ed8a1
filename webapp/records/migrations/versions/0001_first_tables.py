"""first tables."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "card",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("patches", sa.JSON(), nullable=False),
        sa.Column("values_known", sa.Boolean(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_card")),
        sa.UniqueConstraint("name", name=op.f("uq_card_name")),
    )
    op.create_table(
        "client",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("alias", sa.String(), nullable=False),
        sa.Column("skin_notes", sa.String(), nullable=False),
        sa.Column("created_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_client")),
        sa.UniqueConstraint("alias", name=op.f("uq_client_alias")),
    )
    op.create_table(
        "pigment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("family", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.CheckConstraint(
            "family IN ('carbon/organic', 'inorganic', 'hybrid', 'unknown')", name=op.f("ck_pigment_family_known")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pigment")),
        sa.UniqueConstraint("name", name=op.f("uq_pigment_name")),
    )
    op.create_table(
        "studio",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.CheckConstraint("kind IN ('own', 'demo')", name=op.f("ck_studio_kind_known")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_studio")),
    )
    op.create_table(
        "consent",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_id", sa.Integer(), nullable=False),
        sa.Column("scope", sa.String(), nullable=False),
        sa.Column("given_on", sa.Date(), nullable=False),
        sa.Column("withdrawn_on", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["client_id"], ["client.id"], name=op.f("fk_consent_client_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_consent")),
    )
    with op.batch_alter_table("consent", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_consent_client_id"), ["client_id"], unique=False)

    op.create_table(
        "photofile",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("taken_on", sa.Date(), nullable=True),
        sa.Column("stored_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["client_id"], ["client.id"], name=op.f("fk_photofile_client_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photofile")),
        sa.UniqueConstraint("sha256", name=op.f("uq_photofile_sha256")),
    )
    with op.batch_alter_table("photofile", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_photofile_client_id"), ["client_id"], unique=False)

    op.create_table(
        "work",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_id", sa.Integer(), nullable=False),
        sa.Column("site", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("created_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint(
            "site IN ('left brow', 'right brow', 'left upper eyeliner', 'right upper eyeliner', "
            "'left lower eyeliner', 'right lower eyeliner')",
            name=op.f("ck_work_site_known"),
        ),
        sa.ForeignKeyConstraint(["client_id"], ["client.id"], name=op.f("fk_work_client_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_work")),
    )
    with op.batch_alter_table("work", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_work_client_id"), ["client_id"], unique=False)

    op.create_table(
        "follow_up",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("work_id", sa.Integer(), nullable=False),
        sa.Column("photo_id", sa.Integer(), nullable=False),
        sa.Column("card_id", sa.Integer(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("card_patches", sa.JSON(), nullable=False),
        sa.Column("outline", sa.JSON(), nullable=False),
        sa.Column("taken_in_because", sa.String(), nullable=False),
        sa.Column("created_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["card_id"], ["card.id"], name=op.f("fk_follow_up_card_id")),
        sa.ForeignKeyConstraint(["photo_id"], ["photofile.id"], name=op.f("fk_follow_up_photo_id"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["work_id"], ["work.id"], name=op.f("fk_follow_up_work_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_follow_up")),
        sa.UniqueConstraint("work_id", "photo_id", name="uq_follow_up_photo_once_a_work"),
    )
    with op.batch_alter_table("follow_up", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_follow_up_photo_id"), ["photo_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_follow_up_work_id"), ["work_id"], unique=False)

    op.create_table(
        "session",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("work_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("artist", sa.String(), nullable=False),
        sa.Column("technique", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.CheckConstraint(
            "kind IN ('first session', 'touch-up', 'colour boost', 'correction', 'removal')",
            name=op.f("ck_session_kind_known"),
        ),
        sa.CheckConstraint(
            "technique IN ('powder brow', 'ombré brow', 'microblading', 'combination', 'eyeliner', 'other')",
            name=op.f("ck_session_technique_known"),
        ),
        sa.ForeignKeyConstraint(["work_id"], ["work.id"], name=op.f("fk_session_work_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_session")),
    )
    with op.batch_alter_table("session", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_session_work_id"), ["work_id"], unique=False)

    op.create_table(
        "measurement",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("follow_up_id", sa.Integer(), nullable=False),
        sa.Column("pigment_lab", sa.JSON(), nullable=False),
        sa.Column("pigment_spread", sa.JSON(), nullable=False),
        sa.Column("pigment_shared", sa.JSON(), nullable=False),
        sa.Column("pigment_pixels", sa.Integer(), nullable=False),
        sa.Column("skin_lab", sa.JSON(), nullable=True),
        sa.Column("skin_spread", sa.JSON(), nullable=True),
        sa.Column("skin_shared", sa.JSON(), nullable=True),
        sa.Column("skin_pixels", sa.Integer(), nullable=False),
        sa.Column("grade", sa.String(), nullable=False),
        sa.Column("reasons", sa.JSON(), nullable=False),
        sa.Column("patches", sa.Integer(), nullable=False),
        sa.Column("residual", sa.Float(), nullable=False),
        sa.Column("method", sa.String(), nullable=False),
        sa.Column("measured_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["follow_up_id"], ["follow_up.id"], name=op.f("fk_measurement_follow_up_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_measurement")),
        sa.UniqueConstraint("follow_up_id", name=op.f("uq_measurement_follow_up_id")),
    )
    op.create_table(
        "sessionpigment",
        sa.Column("session_id", sa.Integer(), nullable=False),
        sa.Column("pigment_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["pigment_id"], ["pigment.id"], name=op.f("fk_sessionpigment_pigment_id")),
        sa.ForeignKeyConstraint(
            ["session_id"], ["session.id"], name=op.f("fk_sessionpigment_session_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("session_id", "pigment_id", name=op.f("pk_sessionpigment")),
    )


def downgrade() -> None:
    op.drop_table("sessionpigment")
    op.drop_table("measurement")
    with op.batch_alter_table("session", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_session_work_id"))

    op.drop_table("session")
    with op.batch_alter_table("follow_up", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_follow_up_work_id"))
        batch_op.drop_index(batch_op.f("ix_follow_up_photo_id"))

    op.drop_table("follow_up")
    with op.batch_alter_table("work", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_work_client_id"))

    op.drop_table("work")
    with op.batch_alter_table("photofile", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_photofile_client_id"))

    op.drop_table("photofile")
    with op.batch_alter_table("consent", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_consent_client_id"))

    op.drop_table("consent")
    op.drop_table("studio")
    op.drop_table("pigment")
    op.drop_table("client")
    op.drop_table("card")
