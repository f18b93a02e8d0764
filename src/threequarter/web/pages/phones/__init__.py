"""Bringing a phone in."""
