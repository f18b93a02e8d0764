"""Practice tests."""
