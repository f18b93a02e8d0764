"""Erasure: what belongs to a person, erased for good, and remembered as erased."""
