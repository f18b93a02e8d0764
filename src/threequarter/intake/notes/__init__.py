"""Typed notes: "54 waist 51 53"."""
