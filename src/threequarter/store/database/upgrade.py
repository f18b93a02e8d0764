"""Bringing older data forward: a backup first, counts compared, and the old state back where anything fails."""

import datetime
import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from alembic.script import Script, ScriptDirectory
from sqlalchemy import Connection, Engine

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.store.database.engines import head, known, migrations, revision_of, upgrade
from threequarter.store.database.row_dump import counts_of

LOG: Final = logging.getLogger("threequarter.upgrade")
CHANGES: Final = "COUNTS_CHANGE"
"""A migration that makes or drops rows on purpose names their tables in this constant of its module."""
RENAMED: Final = "RENAMED"
"""One that gives tables other names tells them here, {old: new}."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Upgraded:
    """An upgrade that was made: from which schema to which, and where the old state is kept."""

    before: str
    after: str
    backup: Path

    def in_words(self) -> Message:
        """What a coach should know of it."""
        return Message("store.the_data_were_brought_to", file=self.backup)


def upgrade_data(engine: Engine, backups_dir: Path, back_up: Callable[[Path], object]) -> Upgraded | None:
    """Brings a database to the schema of this version; None where there was nothing to do.

    Rows of an older version are backed up first (films are not touched by an upgrade) and counted before and after, in the
    transaction that changes them. Raises UserError where that fails, or for data of a newer version; nothing is changed then.
    """
    with engine.connect() as connection:
        found = revision_of(connection)
    if found is None or found == head() or not known(found):
        upgrade(engine)
        return None
    file = backups_dir / f"before-upgrade-{found}-{datetime.datetime.now(datetime.UTC):%Y-%m-%d-%H%M%S}.zip"
    try:
        backups_dir.mkdir(parents=True, exist_ok=True, mode=0o700)
        back_up(file)
    except (UserError, OSError) as error:
        raise UserError(Message("store.your_data_are_of_an", reason=error)) from error
    try:
        upgrade(engine, around=counted)
    except Exception as error:
        LOG.error("upgrade failed", exc_info=error)
        reason = error if isinstance(error, UserError) else str(getattr(error, "orig", None) or error).split("\n")[0]
        raise UserError(Message("store.bringing_your_data_to_this", reason=reason, file=file)) from error
    done = Upgraded(before=found, after=head(), backup=file)
    LOG.warning(str(done.in_words()))
    return done


@contextmanager
def counted(connection: Connection) -> Iterator[None]:
    """Around a migration: as many rows in each table after as before, but where it says otherwise."""
    found = revision_of(connection) or "base"
    before = counts_of(connection)
    yield
    after, passed = counts_of(connection), _passed(found)
    expected = {table for script in passed for table in getattr(script.module, CHANGES, ())}
    renamed = {old: new for script in passed for old, new in getattr(script.module, RENAMED, {}).items()}
    for table, count in before.items():
        told = after.get(renamed.get(table, table))
        if table not in expected and told != count:
            raise UserError(Message("store.had_rows_and_would_have", table=table, before=count, after=told or 0))


def _passed(found: str) -> list[Script]:
    """The migrations on the way from a revision to the newest."""
    return list(ScriptDirectory.from_config(migrations()).iterate_revisions("head", found))
