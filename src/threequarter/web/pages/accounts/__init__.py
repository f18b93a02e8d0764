"""Signing in, one's own account, people, consent, shared links."""
