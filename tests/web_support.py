"""The app within its wrappers, for tests that look inside."""

from typing import Any


def inner_of(app: Any) -> Any:
    """The app of the pages, below all that is wrapped around it."""
    while hasattr(app, "app"):
        app = app.app
    return app
