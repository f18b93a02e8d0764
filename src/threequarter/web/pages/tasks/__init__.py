"""Long work that runs in the background."""
