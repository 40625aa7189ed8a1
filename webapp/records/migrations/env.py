"""Alembic's entry: runs migrations on the connection that database.migrate hands over."""

from alembic import context
from sqlmodel import SQLModel

from webapp.records import tables  # the import fills the metadata that autogenerate compares with

assert tables

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=SQLModel.metadata,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
