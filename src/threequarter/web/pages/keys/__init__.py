"""Balls typed one by one on a phone."""
