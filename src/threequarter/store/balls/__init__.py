"""Balls: those a phone sends, what counts now in a session, and what disagrees."""
