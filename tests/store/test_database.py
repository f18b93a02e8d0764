"""The database itself: what is asserted on every connection, migrations with data, crashes, two processes at once."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from pysqlite3 import dbapi2 as sqlite
from sqlalchemy import event, inspect, text
from tests.saying import raises_saying
from tests.store.sheets import as_bytes, read

from threequarter.golf.errors import UserError
from threequarter.store.database import engines
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store

pytestmark = pytest.mark.slow


def test_every_connection_keeps_each_commit_and_leaves_no_bytes(tmp_path: Path) -> None:
    engine = engines.open_database(tmp_path)
    with engine.connect() as one, engine.connect() as two:
        for connection in (one, two):
            found = {name: connection.execute(text(f"PRAGMA {name}")).scalar() for name in engines.PRAGMAS}
            assert found == {
                "busy_timeout": 15000,
                "journal_mode": "wal",
                "synchronous": 2,
                "foreign_keys": 1,
                "secure_delete": 1,
            }
    engine.dispose()


def test_a_connection_that_refuses_a_pragma_is_not_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(engines.PRAGMAS, "journal_mode", "nosuch")
    with raises_saying(UserError, match="SQLite refused journal_mode"):
        engines.open_database(tmp_path)


@pytest.mark.parametrize(
    ("version", "safe"),
    [((3, 40, 1), False), ((3, 51, 2), False), ((3, 51, 3), True), ((3, 52, 0), False), ((3, 52, 1), True)],
)
def test_only_sqlite_that_keeps_commits_is_used(version: tuple[int, ...], safe: bool) -> None:
    assert engines.safe_version(version) is safe


def test_an_unsafe_sqlite_is_refused_at_start(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sqlite, "sqlite_version_info", (3, 51, 2))
    with raises_saying(UserError, match="is not safe here"):
        Store.open(tmp_path)


def test_migrations_go_down_and_up_again(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        store.keep_reading(read([50, 51]), as_bytes([50, 51]), name="a.csv")
        before = store.session_balls(1)
    engine = engines.open_file(tmp_path / engines.FILE_NAME)
    engines.upgrade(engine)  # nothing to do: the data stay
    with Store.open(tmp_path) as store:
        assert store.session_balls(1) == before
    engines.downgrade(engine, "base")
    assert set(inspect(engine).get_table_names()) == {"alembic_version"}
    engines.upgrade(engine)
    engine.dispose()
    with Store.open(tmp_path) as store:
        assert store.sessions() == []


def test_data_of_a_newer_version_is_refused_and_unchanged(tmp_path: Path) -> None:
    Store.open(tmp_path).close()
    connection = sqlite.connect(str(tmp_path / engines.FILE_NAME))
    connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.commit()
    connection.close()
    before = (tmp_path / engines.FILE_NAME).read_bytes()
    with raises_saying(UserError, match="newer version of threequarter"):
        Store.open(tmp_path)
    assert (tmp_path / engines.FILE_NAME).read_bytes() == before


def test_a_file_that_is_no_database_is_told(tmp_path: Path) -> None:
    (tmp_path / engines.FILE_NAME).write_bytes(b"not a database, but long enough to be looked at " * 40)
    with raises_saying(UserError, match="damaged .file is not a database"):
        Store.open(tmp_path)


def test_a_folder_that_is_a_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("x")
    with raises_saying(UserError, match="cannot be made"):
        Store.open(tmp_path / "data")


def test_a_folder_with_a_percent_sign_and_spaces_works(tmp_path: Path) -> None:
    with Store.open(tmp_path / "50 % of #1?") as store:
        assert store.sessions() == []
    assert (tmp_path / "50 % of #1?" / engines.FILE_NAME).exists()


def test_two_connections_see_whole_acts_only(tmp_path: Path) -> None:
    with Store.open(tmp_path) as one, Store.open(tmp_path) as two:
        one.keep_reading(read([50, 51]), as_bytes([50, 51]), name="a.csv")
        with one.writing() as session:
            session.execute(text("DELETE FROM ball"))
            assert len(two.session_balls(1)) == 2
            session.rollback()
        two.keep_reading(read([50, 51, 52]), as_bytes([50, 51, 52]), name="a.csv")
        assert len(one.session_balls(1)) == 3


def test_an_act_that_fails_half_way_leaves_nothing(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:

        def fail(*_: object) -> None:
            raise RuntimeError("half-way")

        event.listen(store._engine, "commit", fail)
        with pytest.raises(RuntimeError, match="half-way"):
            store.keep_reading(read([50, 51]), as_bytes([50, 51]), name="a.csv")
        event.remove(store._engine, "commit", fail)
        assert store.sessions() == []
        assert store.keep_reading(read([50, 51]), as_bytes([50, 51]), name="a.csv").added == 2


OPEN = """
import sys, time
from pathlib import Path
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store
while time.time() < float(sys.argv[2]): pass
with Store.open(Path(sys.argv[1])) as store:
    Roster(store).add(sys.argv[3])
"""


def test_processes_that_open_a_fresh_folder_at_once_all_succeed(tmp_path: Path) -> None:
    for round_ in range(3):
        folder = tmp_path / str(round_)
        start = str(time.time() + 2.0)
        running = [
            subprocess.Popen([sys.executable, "-c", OPEN, str(folder), start, name], stderr=subprocess.PIPE)
            for name in ("Ada", "Bo", "Cy")
        ]
        for process in running:
            _, err = process.communicate(timeout=300)
            assert (process.returncode, err) == (0, b"")
        with Store.open(folder) as store:
            assert [player.name for player in Roster(store).players()] == ["Ada", "Bo", "Cy"]


WRITE = """
import sys
from pathlib import Path
from tests.store.sheets import as_bytes, read
from threequarter.store.store import Store
store = Store.open(Path(sys.argv[1]))
for n in range(int(sys.argv[2]), 100000):
    metres = [float(n)] * 20
    store.keep_reading(read(metres), as_bytes(metres), name=f"{n}.csv")
    print(n, flush=True)
"""


def test_killed_at_random_moments_every_act_is_whole_and_none_acknowledged_is_lost(tmp_path: Path) -> None:
    acknowledged: list[int] = []
    root = Path(__file__).parents[2]
    for kill_after in (1, 2, 3, 5):
        start = str(acknowledged[-1] + 10 if acknowledged else 0)
        process = subprocess.Popen(
            [sys.executable, "-c", WRITE, str(tmp_path), start],
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": f"{root}:{root / 'src'}"},
        )
        assert process.stdout
        for _ in range(kill_after):
            acknowledged.append(int(process.stdout.readline()))
        time.sleep(0.003 * kill_after)
        process.send_signal(signal.SIGKILL)
        acknowledged += [int(line) for line in process.stdout.read().split()]
        process.stdout.close()
        process.wait()
        with Store.open(tmp_path) as store:
            kept = {info.title: info.balls for info in store.sessions()}
            assert set(kept.values()) == {20}
            assert {f"{n}.csv" for n in acknowledged} <= set(kept)
            with store.reading() as session:
                assert session.execute(text("PRAGMA integrity_check")).scalar() == "ok"
                assert session.execute(text("PRAGMA foreign_key_check")).all() == []


EARLIER = Path(__file__).parents[1] / "data" / "stores"


@pytest.mark.parametrize("dump", sorted(EARLIER.glob("schema_*.sql")), ids=lambda path: path.stem)
def test_a_database_of_an_earlier_version_comes_through_whole(tmp_path: Path, dump: Path) -> None:
    raw = sqlite.connect(tmp_path / engines.FILE_NAME)
    raw.executescript(dump.read_text(encoding="utf-8"))
    raw.close()
    with Store.open(tmp_path) as store:
        balls = store.kept_balls(1)
        assert [round(k.ball.distance_m / 0.9144, 3) for k in balls] == [41, 43, 42, 40.5, 30, 52, 54, 53]
        assert [k.left_out_why for k in balls if k.left_out_why] == ["fat"]
        assert [p.name for p in Roster(store).players()] == ["Ida Fern"]
        assert [club.loft_deg for club in Roster(store).bag("Ida Fern")] == [50, 54]
        assert Roster(store).note("Ida Fern", "new things work too") == 1
