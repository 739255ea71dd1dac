"""Alembic's environment: always run from the program, on a connection it hands over."""

from alembic import context

from app.storage.base import Base

connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=Base.metadata,
    render_as_batch=connection.dialect.name == "sqlite",
)
context.run_migrations()
