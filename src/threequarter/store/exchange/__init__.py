"""Exchange: exports in open forms, import of our own export, and moving to another database."""
