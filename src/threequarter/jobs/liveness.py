"""Which worker lives: each holds a lock under its name for as long as it does, and what a dead one left is found by it.

On PostgreSQL the lock belongs to a connection, on a data folder to an open file; either is gone with the process.
"""

import contextlib
import os
import socket
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final, Protocol

from sqlalchemy import Connection, Engine, text

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.database.fsync import lock_file

MOST_WORKERS: Final = 64
"""On one machine."""
NAMESPACE: Final = 0x3_4_54  # of these locks among the advisory ones; any number
SETTLED_S: Final = 8.0
"""After the database came back, live workers take their locks again first; only then is a free lock a dead worker's."""


class Alive(Protocol):
    """Locks by worker name."""

    def claim(self) -> str:
        """Takes a free name for this worker, the same after a restart where it is free again."""

    def keep(self) -> bool:
        """Makes sure that the name is still ours; False for as long as it cannot be."""

    def dead(self, name: str) -> "contextlib.AbstractContextManager[bool]":
        """Whether no one lives under a name; inside of it nobody else is told the same."""

    def leave(self) -> None:
        """Gives the name back."""


def names() -> Iterator[str]:
    """The names a worker of this machine may have."""
    host = socket.gethostname() or "machine"
    return (f"{host[:40]}-{number}" for number in range(1, MOST_WORKERS + 1))


class AliveByFile:
    """Workers of one data folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.name, self._handle = "", -1

    def claim(self) -> str:
        """Takes the first free name. Raises UserError where all are taken."""
        self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        for name in names():
            handle = self._try(name)
            if handle is not None:
                self.name, self._handle = name, handle
                return name
        raise UserError(Message("store.workers_run_here_already", count=MOST_WORKERS))

    def keep(self) -> bool:
        """An open file stays locked."""
        return True

    @contextlib.contextmanager
    def dead(self, name: str) -> Iterator[bool]:
        """Holds the other's lock while it is looked after."""
        handle = self._try(name)
        try:
            yield handle is not None
        finally:
            if handle is not None:
                os.close(handle)

    def leave(self) -> None:
        """Closes the file."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1

    def _try(self, name: str) -> int | None:
        handle = os.open(self.folder / f"{name}.lock", os.O_RDWR | os.O_CREAT, 0o600)
        try:
            lock_file(handle, wait=False)
        except OSError:
            os.close(handle)
            return None
        return handle


class AliveByConnection:
    """Workers of one PostgreSQL database, wherever they run."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self.name = ""
        self._connection: Connection | None = None
        self._since = 0.0

    def claim(self) -> str:
        """Takes the first free name. Raises UserError where all are taken."""
        for name in names():
            if self._lock(name):
                self.name = name
                return name
        raise UserError(Message("store.workers_run_on_this_machine", count=MOST_WORKERS))

    def keep(self) -> bool:
        """Asks over the connection that holds the lock; after it was lost, takes the lock again."""
        from sqlalchemy.exc import DBAPIError

        try:
            if self._connection is not None:
                self._connection.execute(text("SELECT 1"))
                return True
        except DBAPIError:
            self.leave()
        try:
            return self._lock(self.name)
        except (DBAPIError, UserError):
            self.leave()
            return False

    @contextlib.contextmanager
    def dead(self, name: str) -> Iterator[bool]:
        """Holds the other's lock while it is looked after; says no while everyone is still coming back."""
        if self._connection is None or time.monotonic() - self._since < SETTLED_S:
            yield False
            return
        free = self._ask("pg_try_advisory_lock", name)
        try:
            yield free
        finally:
            if free:
                self._ask("pg_advisory_unlock", name)

    def leave(self) -> None:
        """Closes the connection, and the lock with it."""
        connection, self._connection = self._connection, None
        if connection is not None:
            with contextlib.suppress(Exception):
                connection.invalidate()
            with contextlib.suppress(Exception):
                connection.close()

    def _lock(self, name: str) -> bool:
        if self._connection is None:
            self._connection = self.engine.connect().execution_options(isolation_level="AUTOCOMMIT")
            self._since = time.monotonic()
        return self._ask("pg_try_advisory_lock", name)

    def _ask(self, function: str, name: str) -> bool:
        assert self._connection is not None
        found: Any = self._connection.execute(
            text(f"SELECT {function}(:space, hashtext(:name))"), {"space": NAMESPACE, "name": name}
        )
        return bool(found.scalar())
