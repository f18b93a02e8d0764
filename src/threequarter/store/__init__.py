"""The store: what is kept, where every number came from, and how it is undone."""
