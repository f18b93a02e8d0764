"""The interface for scripts: the same calls the pages make, typed, with units in every name, described by OpenAPI."""
