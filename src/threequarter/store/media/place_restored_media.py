"""Films of a restored backup take their places: each step can be cut off and done again."""

import shutil
from pathlib import Path
from typing import Final

from sqlalchemy import Engine, inspect, select

from threequarter.store.database.fsync import sync_folder
from threequarter.store.database.schema import RestoredRow
from threequarter.store.database.scratch import held, sweep

READY: Final = ".ready-"
PLACING: Final = ".placing-"
REPLACED: Final = ".replaced-"


def settle_restored_media(engine: Engine, clips_dir: Path) -> None:
    """Finishes or forgets what a killed process left among the clips. Costs one look into the folder where there is nothing."""
    if not clips_dir.is_dir() or not any(clips_dir.glob(".*-*")):
        return
    sweep(clips_dir, "erasing")
    with engine.connect() as connection:
        tokens = (
            set(connection.scalars(select(RestoredRow.token))) if inspect(connection).has_table("restored") else set()
        )
    for folder in [*clips_dir.glob(f"{READY}*"), *clips_dir.glob(f"{PLACING}*")]:
        token = folder.name.removeprefix(READY).removeprefix(PLACING)
        with held(folder) as mine:
            free = mine
        if free and (token in tokens or folder.name.startswith(PLACING)):
            place_media(clips_dir, token)
        elif free:
            shutil.rmtree(folder, ignore_errors=True)  # its rows were never kept
    for folder in clips_dir.glob(f"{REPLACED}*"):
        if not (clips_dir / f"{READY}{folder.name.removeprefix(REPLACED)}").exists():
            shutil.rmtree(folder, ignore_errors=True)


def place_media(clips_dir: Path, token: str) -> None:
    """Puts the clips that were there aside, those that lie ready in their place, and removes the old ones."""
    ready, placing, replaced = (clips_dir / f"{prefix}{token}" for prefix in (READY, PLACING, REPLACED))
    if ready.exists():
        replaced.mkdir(exist_ok=True, mode=0o700)
        for folder in _clips(clips_dir):
            folder.replace(replaced / folder.name)
        ready.replace(placing)  # from here on, what stands outside is new
        sync_folder(clips_dir)
    if placing.exists():
        for folder in _clips(placing):
            folder.replace(clips_dir / folder.name)
        sync_folder(clips_dir)
        shutil.rmtree(placing, ignore_errors=True)
    shutil.rmtree(replaced, ignore_errors=True)


def _clips(folder: Path) -> list[Path]:
    return [path for path in folder.iterdir() if path.name.isdigit()]
