"""How long data of release 0.1.0 take to come to today's schema, with 2 000 players and 400 000 balls, and back; and whether all is there.

Limit: two minutes, with the backup that is made first. Every count of every table, and a sum over all rows as 0.1.0 knew them, must be
equal after going forth and after going back.
Run: python benchmarks/upgrade.py [--players 2000] [--on sqlite|postgresql|both] [--release CHECKOUT]

With a checkout of release 0.1.0 its own code makes the data; without one today's code does, and they are taken back to that schema.
"""

import argparse
import hashlib
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from sqlalchemy import Engine, inspect, text

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1]))

import pages
from tests.postgres_support import Server

from threequarter.store.database import engines, postgres
from threequarter.store.store import Store

THEN, LIMIT_S = "0014", 120.0
MADE_BY_RELEASE = """
import pages
from pathlib import Path
from threequarter.store.store import Store
with Store.open(Path({folder!r}), {url!r}) as store:
    pages.fill(store, {players})
"""


def make(folder: Path, url: str | None, players: int, release: Path | None) -> None:
    """A data folder as 0.1.0 left it."""
    if release is None:
        with Store.open(folder, url) as store:
            pages.fill(store, players)
            engines.downgrade(store._engine, THEN)
        return
    code = MADE_BY_RELEASE.format(folder=str(folder), url=url, players=players)
    path = os.pathsep.join(map(str, (release / "src", release / "benchmarks")))
    subprocess.run([sys.executable, "-S", "-c", _PATHS.format(path=path) + code], check=True)


_PATHS = (
    f"import sys; sys.path[:0] = {{path!r}}.split({os.pathsep!r}) + {[p for p in sys.path if 'site-packages' in p]!r}\n"
)


Columns = dict[str, list[str]]


def columns_of(engine: Engine) -> Columns:
    seen = inspect(engine)
    return {
        table: sorted(column["name"] for column in seen.get_columns(table))
        for table in seen.get_table_names()
        if table != "alembic_version" and not table.startswith("dbos")
    }


def seen(engine: Engine, columns: Columns) -> dict[str, tuple[int, str]]:
    """Of each table how many rows, and a sum over these columns of all of them in order."""
    found = {}
    with engine.connect() as connection:
        for table, names in columns.items():
            made, count = hashlib.sha256(), 0
            listed = ", ".join(f'"{name}"' for name in names)
            for row in connection.execute(text(f'SELECT {listed} FROM "{table}" ORDER BY {listed}')):
                made.update(repr([str(value) for value in row]).encode())
                count += 1
            found[table] = count, made.hexdigest()
    return found


def measure(on: str, players: int, release: Path | None) -> bool:
    server = Server(durable=True) if on == "postgresql" else None
    try:
        if server:
            server.start()
        url = server.url() if server else None
        with tempfile.TemporaryDirectory() as name:
            return _measure(on, Path(name), url, players, release)
    finally:
        if server:
            server.remove()


def _measure(on: str, folder: Path, url: str | None, players: int, release: Path | None) -> bool:
    make(folder, url, players, release)
    engine = postgres.open_server(postgres.parse(url)) if url else engines.open_file(folder / engines.FILE_NAME)
    columns = columns_of(engine)
    with engine.connect() as connection:
        assert engines.revision_of(connection) == THEN
    before = seen(engine, columns)
    engine.dispose()
    start, busy = time.perf_counter(), time.process_time()
    with Store.open(folder, url) as store:
        forth, own = time.perf_counter() - start, time.process_time() - busy
        after = seen(store._engine, columns)
        start = time.perf_counter()
        engines.downgrade(store._engine, THEN)
        back = time.perf_counter() - start
        again = seen(store._engine, columns)
    rows = {table: count for table, (count, _sum) in before.items() if count}
    wrong = [
        f"{table} {way}"
        for way, found in (("forth", after), ("back", again))
        for table in columns
        if found[table] != before[table]
    ]
    print(
        f"{on}: {rows}; forth with its backup {forth:.1f} s ({forth / LIMIT_S:.2f} of the limit, processor of this process {own:.1f} s), "
        f"back {back:.1f} s; not equal: {', '.join(wrong) or 'none'}",
        flush=True,
    )
    return not wrong and forth <= LIMIT_S


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--players", type=int, default=2000)
    parser.add_argument("--on", choices=["sqlite", "postgresql", "both"], default="both")
    parser.add_argument("--release", type=Path)
    chosen = parser.parse_args()
    places = ("sqlite", "postgresql") if chosen.on == "both" else (chosen.on,)
    sound = [measure(on, chosen.players, chosen.release) for on in places]
    sys.exit(not all(sound))


if __name__ == "__main__":
    main()
