"""A data folder and its database, opened: transactions that read, transactions that write one after the other."""

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final, Self

from sqlalchemy import Engine
from sqlalchemy.orm import Session

from threequarter.golf.errors import NotNowError
from threequarter.golf.message import Message
from threequarter.store.accounts import scope as scope  # the filter under every query
from threequarter.store.backup.backup import backup_of
from threequarter.store.database.engines import (
    for_reading,
    for_writing,
    is_postgres,
    open_database,
    url_from_environment,
)
from threequarter.store.database.errors import translating_errors
from threequarter.store.database.postgres import PATIENCE_MS, parse, shown
from threequarter.store.database.soundness import damage_told
from threequarter.store.database.upgrade import Upgraded, upgrade_data
from threequarter.store.database.vacuum import vacuum_postgres, vacuum_sqlite
from threequarter.store.media.place_restored_media import settle_restored_media
from threequarter.store.media.s3_cache import s3_cache_of

CLIPS_VARIABLE: Final = "THREEQUARTER_CLIPS"
"""The folder for clips where several machines share one, or s3://bucket/prefix; else they lie in the data folder."""
COPIES: Final = "clips-here"
"""The folder in the data folder for films that come in, and for copies of some, where films are kept in an S3-compatible store."""

OFF: Final = "off"
BACKUPS_VARIABLE: Final = "THREEQUARTER_BACKUPS"
"""The folder that the regular backups go to, best on another disk; else they lie in the data folder. "off": none are made."""


def backups_folder(data_dir: Path) -> Path:
    """Where the backups of a data folder lie that nobody named a file for."""
    named = os.environ.get(BACKUPS_VARIABLE, "")
    return data_dir / "backups" if named in ("", OFF) else Path(named)


class OpenStore:
    """The data folder of a coach, opened: its database, its films, and the one way to read and to write in it."""

    def __init__(self, data_dir: Path, url: str | None = None) -> None:
        self.data_dir, self.url = data_dir, url
        named = os.environ.get(CLIPS_VARIABLE, "")
        self.s3_cache = s3_cache_of(named, data_dir / COPIES)
        self.clips_dir = self.s3_cache.here if self.s3_cache else Path(named or data_dir / "clips")
        self.backups_dir = backups_folder(data_dir)
        self._turn = threading.Lock()
        self.acts = 0
        self.upgraded: Upgraded | None = None
        self._engine = open_database(data_dir, url, bring_forward=self._bring_forward)
        settle_restored_media(self._engine, self.clips_dir)

    def _bring_forward(self, engine: Engine) -> None:
        def back_up(file: Path) -> None:
            backup_of(engine, self.clips_dir, self.data_dir, file, films=False, vault=self.s3_cache)

        self.upgraded = upgrade_data(engine, self.backups_dir, back_up)

    @classmethod
    def open(cls, data_dir: Path | None = None, url: str | None = None) -> Self:
        """Opens a folder (default: the system's usual place), making it where needed, and the database: PostgreSQL by `url`,
        else by THREEQUARTER_DATABASE_URL, else the file of the folder. Raises UserError where it cannot."""
        from threequarter.store import default_data_dir

        return cls(data_dir or default_data_dir(), url or url_from_environment())

    def close(self) -> None:
        """Lets go of the database."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def on_postgres(self) -> bool:
        """Whether this is the academy's database, and not a file of the folder."""
        return is_postgres(self._engine)

    @property
    def films_place(self) -> str:
        """Where the films are, in words."""
        return self.s3_cache.place if self.s3_cache else str(self.clips_dir)

    @property
    def place(self) -> str:
        """Where the rows are, in words; no password."""
        return str(self.data_dir) if self.url is None else shown(parse(self.url))

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A transaction that only reads, on one snapshot."""
        engine = self._engine
        with (
            translating_errors(self.place),
            damage_told(engine),
            Session(for_reading(engine)) as session,
            session.begin(),
        ):
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """One act, one transaction: it holds the write lock from its start, so that acts follow one another.

        Acts of one process queue here first: no connection waits meanwhile, and the next one goes on at once.
        """
        with (
            self._in_turn(),
            translating_errors(self.place),
            damage_told(self._engine),
            Session(for_writing(self._engine)) as session,
            session.begin(),
        ):
            yield session
        self.acts += 1

    @contextmanager
    def _in_turn(self) -> Iterator[None]:
        if not self._turn.acquire(timeout=PATIENCE_MS / 1000):
            raise NotNowError(Message("store.the_database_is_busy_nothing", place=self.place))
        try:
            yield
        finally:
            self._turn.release()

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Meanwhile nobody else of this process writes (they wait, or are told that it is busy), and idle connections are let go."""
        with self._in_turn():
            self._engine.dispose()
            yield

    @property
    def engine(self) -> Engine:
        """The database itself, for what moves it as a whole."""
        return self._engine

    def compact(self) -> bool:
        """Rewrites the database (and empties SQLite's log), so that nothing deleted is left in a free page.

        False where somebody who was reading all the while kept the log from being emptied.
        """
        with translating_errors(self.place):
            raw = self._engine.raw_connection()
            try:
                base = raw.driver_connection
                assert base is not None
                return vacuum_postgres(base) if self.on_postgres else vacuum_sqlite(base)
            finally:
                raw.close()
