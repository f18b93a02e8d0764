"""Going back to a backup while the pages are open: nobody of this process writes meanwhile, and all of it happens, or nothing."""

import re
import time
from pathlib import Path
from typing import Final

from threequarter.golf.errors import NotNowError, NotThereError
from threequarter.language.localize import _
from threequarter.store.backup.archive import opened
from threequarter.store.backup.encryption import is_encrypted
from threequarter.store.backup.restore import in_use, restore
from threequarter.store.backup.retention import good_backups
from threequarter.store.database.row_dump import counts_of
from threequarter.store.store import Store
from threequarter.store.tasks.tasks import Tasks

BEFORE: Final = re.compile(r"before-restore-[0-9-]+\.zip")
SHOWN: Final = ("player", "ball", "clip")
TRIES: Final = 60
PAUSE_S: Final = 0.3


def restorable(store: Store, name: str) -> Path | None:
    """The backup of that name in the folder of the backups: one of the rotation, or one made before a restore."""
    names = {one.path.name for one in good_backups(store.backups_dir)}
    known = name in names or BEFORE.fullmatch(name) is not None
    return store.backups_dir / name if known and (store.backups_dir / name).is_file() else None


def kept_before(store: Store) -> list[str]:
    """What was there before each restore, by the names of its files, the newest first."""
    found = store.backups_dir.iterdir() if store.backups_dir.is_dir() else ()
    return sorted((file.name for file in found if BEFORE.fullmatch(file.name)), reverse=True)


def held_in(file: Path) -> dict[str, int] | None:
    """Players, balls and clips in a backup; None for a sealed one. Raises UserError for a file that is no backup."""
    if is_encrypted(file):
        return None
    with opened(file) as archive:
        return {name: archive.counts.get(name, 0) for name in SHOWN}


def held_now(store: Store) -> dict[str, int]:
    """Players, balls and clips that are kept now."""
    with store.reading() as session:
        counts = counts_of(session.connection())
    return {name: counts.get(name, 0) for name in SHOWN}


def restore_here(store: Store, name: str, passphrase: str | None = None) -> Path | None:
    """Puts a backup in place of what is there; returns where that was kept. Raises UserError where it cannot be: nothing is changed
    then."""
    file = restorable(store, name)
    if file is None:
        raise NotThereError(_("There is no backup {file!r}. See the list of backups.").format(file=name[:80]))
    if Tasks(store).unfinished():
        raise NotNowError(
            _("A print, an import or a backup is still running. Nothing was changed; try again when it is done.")
        )
    with store.alone():
        _wait_for_readers(store)
        return restore(file, store.data_dir, url=store.url, passphrase=passphrase, replace=True, mine=store).kept_before


def _wait_for_readers(store: Store) -> None:
    """Pages that are being read hold the database for a moment."""
    for _try in range(TRIES):
        if not in_use(store):
            return
        time.sleep(PAUSE_S)
    raise NotNowError(_("Another page or program is reading right now. Nothing was changed; try again."))
