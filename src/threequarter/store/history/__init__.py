"""History: what was done, undone and redone, and the trash."""
