"""To be seen from outside: one log line a request, figures, health, and the page of whoever keeps the server
running."""
