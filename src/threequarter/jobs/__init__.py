"""Long work that outlives the server: which clips wait, who measures them, and what happens when a worker dies."""
