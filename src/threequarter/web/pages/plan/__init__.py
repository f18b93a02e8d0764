"""Planning a session before the first ball."""
