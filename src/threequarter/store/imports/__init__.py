"""Imports: a file read, matched with what is known, kept, undone."""
