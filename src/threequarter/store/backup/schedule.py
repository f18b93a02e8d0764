"""While the pages are open it is looked now and then whether a backup is due, and then one is asked for."""

import datetime
import logging
import threading
from collections.abc import Callable
from typing import Final

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.backup.retention import backup_due
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store
from threequarter.store.tasks.tasks import Tasks

LOG: Final = logging.getLogger("threequarter.backups")
FIRST_S: Final = 60.0
EVERY_S: Final = 600.0


class BackupSchedule:
    """Asks for a backup where one is due, or now. `run_task` is given the number of the task."""

    def __init__(
        self, store: Store, have_done: Callable[[int], None], *, first_s: float = FIRST_S, every_s: float = EVERY_S
    ) -> None:
        self.tasks, self.run_task, self.first_s, self.every_s = Tasks(store), have_done, first_s, every_s
        self._stop = threading.Event()

    def start(self) -> None:
        """Begins; the first look comes after the pages had time to open."""
        threading.Thread(target=self._run, name="backups", daemon=True).start()

    def now(self) -> None:
        """Asks for one, due or not; nothing where one is being made. Of several servers one is heard."""
        number = self.tasks.add_only("backup")
        if number is not None:
            self.run_task(number)

    @property
    def busy(self) -> bool:
        """Whether one is being made."""
        last = self.tasks.newest("backup")
        return last is not None and last.open

    @property
    def trouble(self) -> Message | str:
        """Why the last one was not made; empty where it was."""
        last = self.tasks.newest("backup")
        return (last.error or "") if last is not None and last.state == "failed" else ""

    def stop(self) -> None:
        """Looks no more."""
        self._stop.set()

    def _run(self) -> None:
        wait = self.first_s
        while not self._stop.wait(wait):
            wait = self.every_s
            try:
                if (
                    backup_due(self.tasks.store, self.tasks.store.backups_dir, now_utc())
                    and not self._failed_just_now()
                ):
                    self.now()
            except UserError as error:
                LOG.warning("it could not be seen whether a backup is due", exc_info=error)

    def _failed_just_now(self) -> bool:
        """So that several servers together do not try oftener than one would."""
        last = self.tasks.newest("backup")
        pause = datetime.timedelta(seconds=self.every_s)
        return last is not None and last.state == "failed" and now_utc() - last.made_at < pause
