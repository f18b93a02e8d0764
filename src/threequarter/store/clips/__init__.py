"""Clips and the lessons they belong to."""
