"""Runs the migrations on the connection that `migrate` hands over; there is no other way to run them."""

from alembic import context

connection = context.config.attributes["connection"]
context.configure(connection=connection, transactional_ddl=True, transaction_per_migration=False)
context.run_migrations()
