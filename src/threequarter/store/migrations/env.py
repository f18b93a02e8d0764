"""Runs the migrations on the connection the program hands over."""

from alembic import context

from threequarter.store.database.schema import Base

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=Base.metadata, render_as_batch=True, transactional_ddl=False)
context.run_migrations()
