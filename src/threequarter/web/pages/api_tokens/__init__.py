"""The page that lists the interface for scripts and its tokens."""
