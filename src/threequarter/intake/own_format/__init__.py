"""The program's own tables, in which every column is known."""
