"""The store: what is kept, where every number came from, and how it is undone."""

from pathlib import Path

__all__ = ["default_data_dir"]


def default_data_dir() -> Path:
    """The folder for data where none is named: the system's usual place for a user's data."""
    import platformdirs

    return Path(platformdirs.user_data_dir("threequarter"))
