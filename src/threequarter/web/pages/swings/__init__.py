"""Clips of swings."""
