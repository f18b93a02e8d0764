"""Practice: plans, tests, progress, recheck. Pure."""
