"""Health and figures, and the page of whoever keeps the server running."""
