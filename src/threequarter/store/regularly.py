"""While the pages are open a backup is made every day, in a process of its own that does not slow them down."""

import logging
import subprocess
import threading
from pathlib import Path
from typing import Final

from threequarter.fence import child as child_command

LOG: Final = logging.getLogger("threequarter.backups")
FIRST_S: Final = 60.0
EVERY_S: Final = 600.0


class Regularly:
    """Looks now and then whether a backup is due, and has it made; or makes one now."""

    def __init__(self, data_dir: Path, *, first_s: float = FIRST_S, every_s: float = EVERY_S) -> None:
        self.data_dir, self.first_s, self.every_s = data_dir, first_s, every_s
        self.trouble = ""
        """Why the last one was not made, in words; empty where it was."""
        self._stop = threading.Event()
        self._one = threading.Lock()
        self._child: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Begins; the first look comes after the pages had time to open."""
        threading.Thread(target=self._run, name="backups", daemon=True).start()

    def now(self) -> None:
        """Has one made now, due or not; nothing where one is being made."""
        if not self.busy:
            threading.Thread(target=self._make, args=([],), name="backup", daemon=True).start()

    @property
    def busy(self) -> bool:
        """Whether one is being made."""
        return self._one.locked()

    def stop(self) -> None:
        """Ends; a backup that is being made is given up, which leaves nothing."""
        self._stop.set()
        if self._child is not None and self._child.poll() is None:
            self._child.terminate()

    def _run(self) -> None:
        wait = self.first_s
        while not self._stop.wait(wait):
            self._make(["--if-due"])
            wait = self.every_s

    def _make(self, more: list[str]) -> None:
        command = child_command("threequarter", "backup", "--keep", "7", *more, "--data", str(self.data_dir))
        with self._one:
            try:
                self._child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
                _out, said = self._child.communicate()
            except OSError as error:
                self.trouble = str(error)
                LOG.exception("the regular backup could not be started")
                return
            failed = self._child.returncode and not self._stop.is_set()
            self.trouble = said.strip().split("\n")[-1].removeprefix("threequarter: ") if failed else ""
            if failed:
                LOG.error("the regular backup was not made: %s", self.trouble)
