"""Where answers that were computed from a player's balls lie, and their end: they go with the player."""

import contextlib
from pathlib import Path
from typing import Final

FOLDER: Final = "answers"


def file_of(data_dir: Path, player: int) -> Path:
    """The file of one player's standing chart."""
    return data_dir / FOLDER / f"{player}.npz"


def verdict_file(data_dir: Path, player: int) -> Path:
    """The file that says whether that chart held, for lists of many players."""
    return data_dir / FOLDER / f"{player}.held"


def forget_answers(data_dir: Path) -> None:
    """Removes them all: they are computed again when somebody asks."""
    for path in (data_dir / FOLDER).glob("*"):
        with contextlib.suppress(OSError):
            path.unlink()
