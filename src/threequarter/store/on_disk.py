"""Making sure that names are on the disk: a file that was synced is found after a power cut only if its folder was too."""

import os
from pathlib import Path


def sync_folder(folder: Path) -> None:
    """Puts the names in a folder on the disk. Does nothing where the system cannot (Windows does it by itself)."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
