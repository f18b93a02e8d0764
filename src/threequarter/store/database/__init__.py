"""The database: its engines, tables, migrations and the rows as they are written."""
