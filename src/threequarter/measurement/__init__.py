"""Measurement: how a distance was read, the error that brings, and from where a ball lies back to its carry. Pure."""
