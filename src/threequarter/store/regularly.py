"""While the pages are open a backup is made every day, in a process of its own that does not slow them down."""

import logging
import subprocess
import sys
import threading
from pathlib import Path
from typing import Final

LOG: Final = logging.getLogger("threequarter.backups")
FIRST_S: Final = 60.0
EVERY_S: Final = 600.0


class Regularly:
    """Looks now and then whether a backup is due, and has it made."""

    def __init__(self, data_dir: Path, *, first_s: float = FIRST_S, every_s: float = EVERY_S) -> None:
        self.data_dir, self.first_s, self.every_s = data_dir, first_s, every_s
        self._stop = threading.Event()
        self._child: subprocess.Popen[str] | None = None
        self._thread = threading.Thread(target=self._run, name="backups", daemon=True)

    def start(self) -> None:
        """Begins; the first look comes after the pages had time to open."""
        self._thread.start()

    def stop(self) -> None:
        """Ends; a backup that is being made is given up, which leaves nothing."""
        self._stop.set()
        if self._child is not None and self._child.poll() is None:
            self._child.terminate()

    def _run(self) -> None:
        wait = self.first_s
        while not self._stop.wait(wait):
            self._look()
            wait = self.every_s

    def _look(self) -> None:
        command = [
            sys.executable,
            "-m",
            "threequarter",
            "backup",
            "--keep",
            "7",
            "--if-due",
            "--data",
            str(self.data_dir),
        ]
        try:
            self._child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
            _out, said = self._child.communicate()
        except OSError as error:
            LOG.error("the regular backup could not be started", exc_info=error)
            return
        if self._child.returncode and not self._stop.is_set():
            LOG.error("the regular backup was not made: %s", said.strip().split("\n")[-1])
