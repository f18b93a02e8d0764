"""A clinic of several players."""
