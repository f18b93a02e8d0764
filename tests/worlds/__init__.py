"""Worlds made by other hands than the product: its tests live in them."""
