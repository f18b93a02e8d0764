"""The lesson, and the page to take home."""
