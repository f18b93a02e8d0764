"""A session: its chart, its card, its files, its single balls."""
