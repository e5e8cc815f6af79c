"""Run migrations on the connection the store hands over."""

from alembic import context

from livery.records.tables import metadata

context.configure(connection=context.config.attributes["connection"], target_metadata=metadata)
with context.begin_transaction():
    context.run_migrations()
