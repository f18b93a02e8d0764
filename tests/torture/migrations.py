"""Bringing older data forward, killed with -9 before every statement and around the commit: the old state whole or the new one, never half.

    python -m tests.torture.migrations [--from 0003] [--every 1] [--postgres]

Rows stand in every table of the older schema. A child process brings them forward and kills itself before statement 1, 2, 3 and so on
to the last, then just before and just after the commit. After each kill the schema has to be one of the two, every row of the older
schema the same in both, and the next start has to bring it to what an undisturbed one makes, row for row.
"""

import argparse
import json
import os
import shutil
import signal
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, event

sys.path.insert(0, str(Path(__file__).parents[2]))
from tests.postgres_support import Server
from tests.store.rows_of_each import columns_of, everything, fill

from threequarter.store.database import engines, postgres
from threequarter.store.database.upgrade import counted

Rows = dict[str, list[dict[str, Any]]]


class Databases:
    """Copies of one older database: files, or databases of a server made from a template."""

    def __init__(self, folder: Path, server: Server | None) -> None:
        self.folder, self.server, self.made = folder, server, 0
        self.first = server.url() if server else str(folder / "first.db")

    def open(self, place: str) -> Engine:
        return postgres.open_server(postgres.parse(place)) if self.server else engines.open_file(Path(place))

    def copy(self) -> str:
        """A fresh copy of the first."""
        self.made += 1
        if self.server is None:
            return str(shutil.copy(self.first, self.folder / f"copy-{self.made}.db"))
        name = f"copy{self.made}"
        self.server.execute(f'CREATE DATABASE "{name}" TEMPLATE "{self.first.rsplit("/", 1)[1]}"')
        return f"{self.first.rsplit('/', 1)[0]}/{name}"

    def drop(self, place: str) -> None:
        if self.server is not None:
            self.server.drop(place)
            return
        for left in self.folder.glob(f"{Path(place).name}*"):
            left.unlink()


def rows_of(engine: Engine, of: dict[str, set[str]]) -> Rows:
    """The rows of the columns named."""
    with engine.connect() as connection:
        return everything(connection, of)


def revision_of(engine: Engine) -> str | None:
    with engine.connect() as connection:
        return engines.revision_of(connection)


def undisturbed(engine: Engine) -> int:
    """Brings it forward; returns how many statements that took."""
    asked = 0

    def count(*_told: Any) -> None:
        nonlocal asked
        asked += 1

    event.listen(engine, "before_cursor_execute", count)
    engines.upgrade(engine, around=counted)
    event.remove(engine, "before_cursor_execute", count)
    return asked


def killed(databases: Databases, place: str, when: int | str) -> bool:
    """Brings it forward in a child that kills itself before statement `when`, or "before" or "after" the commit. False where it was
    never reached."""
    child = os.fork()
    if child == 0:
        try:
            engine, asked = databases.open(place), 0
            end: Callable[..., None] = lambda *_told: os.kill(os.getpid(), signal.SIGKILL)  # noqa: E731

            def count(*_told: Any) -> None:
                nonlocal asked
                asked += 1
                if asked == when:
                    end()

            event.listen(engine, "before_cursor_execute", count)
            if when == "before":
                event.listen(engine, "commit", end)
            engines.upgrade(engine, around=counted)
            if when == "after":
                end()
        finally:
            os._exit(0)
    _pid, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status)


@contextmanager
def prepared(older: str, server: Server | None) -> Iterator[Databases]:
    """A database of the older schema with rows in every table."""
    with tempfile.TemporaryDirectory(prefix="threequarter-migrations-") as scratch:
        databases = Databases(Path(scratch), server)
        engine = databases.open(databases.first)
        engines.upgrade(engine)
        with engine.begin() as connection:
            fill(connection)
        engines.downgrade(engine, older)
        engine.dispose()
        yield databases


def kill_at_each(older: str, every: int, server: Server | None) -> dict[str, Any]:
    """Runs the rig; under "bad" what was half, lost or could not be opened."""
    bad: list[str] = []
    ended = {"old": 0, "new": 0}
    with prepared(older, server) as databases:
        for _time in range(2):  # once to warm up: what is known of the tables is looked up once in a process
            place = databases.copy()
            engine = databases.open(place)
            known = columns_of(engine)
            before = rows_of(engine, known)
            statements = undisturbed(engine)
            whole = columns_of(engine)
            goal, newest = rows_of(engine, whole), revision_of(engine)
            engine.dispose()
            databases.drop(place)
        points: list[int | str] = [*range(1, statements + 1, every), "before", "after"]
        for when in points:
            place = databases.copy()
            if not killed(databases, place, when):
                bad.append(f"{when}: was never reached")
            engine = databases.open(place)
            revision = revision_of(engine)
            if revision == older:
                ended["old"] += 1
                if columns_of(engine) != known or rows_of(engine, known) != before:
                    bad.append(f"{when}: the old state is not whole")
                engines.upgrade(engine, around=counted)
            elif revision == newest:
                ended["new"] += 1
            else:
                bad.append(f"{when}: schema {revision}")
            if rows_of(engine, whole) != goal:
                bad.append(f"{when}: not what an undisturbed start makes")
            engine.dispose()
            databases.drop(place)
    return {
        "from": older,
        "on": "PostgreSQL" if server else "SQLite",
        "statements": statements,
        "kills": len(points),
        "ended": ended,
        "bad": bad,
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--from", dest="older", default="0003", help="The schema that the data are of.")
    parser.add_argument("--every", type=int, default=1, help="Only each so manieth statement.")
    parser.add_argument("--postgres", action="store_true")
    chosen = parser.parse_args()
    server = Server() if chosen.postgres else None
    try:
        if server is not None:
            server.start()
        told = kill_at_each(chosen.older, chosen.every, server)
    finally:
        if server is not None:
            server.remove()
    sys.stdout.write(json.dumps(told) + "\n")
    sys.exit(1 if told["bad"] or not told["ended"]["new"] else 0)


if __name__ == "__main__":
    main()
