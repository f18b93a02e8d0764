"""What is done at the start of a server and once a day: a look whether all is sound, films whose time is up, sign-ins that ended, an audit that is old enough.

What cannot be brought back waits where the clock jumped."""

import logging
import threading
from typing import Final

from threequarter.golf.errors import UserError
from threequarter.store.accounts import audit, second_factor, sign_ins
from threequarter.store.history.trash import Trash
from threequarter.store.media.media_deletion import tidy_media
from threequarter.store.media.retention import sweep, sweep_empty
from threequarter.store.store import Store
from threequarter.store.tasks.clock import note_clock
from threequarter.store.tasks.integrity import check_integrity
from threequarter.store.tasks.tasks import Tasks

LOG: Final = logging.getLogger("threequarter.upkeep")
DAY_S: Final = 24 * 3600.0
SOON_S: Final = 20.0
"""After the start: the first pages are answered first."""


def run_maintenance(store: Store) -> None:
    """All of it, once; whether everything is sound is looked at first. Several servers may do so at once: each act is whole and does no harm twice."""
    if not (found := check_integrity(store)).well:
        LOG.error(
            "damage was found: %s; films gone: %s; line of the record: %s",
            found.damage or "database sound",
            found.films,
            found.line or "none",
        )
    Tasks(store).forget_old()
    with store.writing() as session:
        sign_ins.forget_old(session)
        second_factor.forget_old(session)
    tidy_media(store)
    if (jump := note_clock(store)) is not None:
        LOG.warning(
            "the clock jumped from %s to %s; nothing is deleted for good until %s", jump.before, jump.after, jump.until
        )
        return
    with store.writing() as session:
        audit.forget_old(session)
    _, deleted = sweep(store)
    sweep_empty(store)
    Trash(store).purge()
    if deleted:
        audit.record(store, "clips ended", detail=str(deleted))


class DailyMaintenance:
    """Does it soon and then every day, in a thread of its own that ends with the server."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._over = threading.Event()

    def start(self) -> None:
        """Begins; what fails is in the log, and tried again the next day."""
        threading.Thread(target=self._run, name="upkeep", daemon=True).start()

    def stop(self) -> None:
        """Ends before the next day."""
        self._over.set()

    def _run(self) -> None:
        self._over.wait(SOON_S)
        while not self._over.is_set():
            try:
                run_maintenance(self.store)
            except UserError as error:
                LOG.warning("upkeep was not done", exc_info=error)
            self._over.wait(DAY_S)
