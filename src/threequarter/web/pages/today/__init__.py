"""The first page: ways to begin, and the latest sessions."""
