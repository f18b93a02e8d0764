"""From a laptop to an academy's PostgreSQL and back: every row and film the same, nothing written over that was not meant."""

import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import text
from tests.saying import raises_saying
from tests.store.rows_of_each import fill
from tests.store.sheets import as_bytes, read

from threequarter.golf.errors import UserError
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.database.row_dump import digests_of
from threequarter.store.exchange import migrate_database
from threequarter.store.store import Store

pytestmark = pytest.mark.slow


def filled(folder: Path) -> Store:
    store = Store(folder)
    with store.engine.begin() as connection:
        fill(connection)
    store.keep_reading(read([50, 51]), as_bytes([50, 51]), name="Größe 名.csv", player="Wren Sedge")
    clips = Clips(store)
    clip = clips.begin("swing.mp4", 11, session_id=1)
    clips.take(clip, 0, b"film of Wren"[:11])
    return store


def sums(store: Store) -> dict[str, str]:
    """But for the record, which has a line more where something was moved to (test_record.py)."""
    but = (*migrate_database.LEFT, migrate_database.RECORD)
    with store.engine.connect() as connection:
        return {name: digest for name, digest in digests_of(connection).items() if name not in but}


def files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_there_and_back_is_the_same_row_by_row_and_film_by_film(tmp_path: Path, postgres_url: str) -> None:
    with (
        filled(tmp_path / "laptop") as laptop,
        Store(tmp_path / "academy", postgres_url) as academy,
        Store(tmp_path / "again") as again,
    ):
        moved = migrate_database.migrate_database(laptop, academy)
        assert moved.films == 1
        assert moved.counts["player"] == 4
        assert (
            sums(academy)
            == sums(laptop)
            == {name: digest for name, digest in moved.sums.items() if name != migrate_database.RECORD}
        )
        assert files(tmp_path / "academy" / "clips") == files(tmp_path / "laptop" / "clips")
        before = sums(academy)
        session = PhoneBalls(academy).begin("New Player")  # its number follows those that came
        PhoneBalls(academy).take(
            session, [{"key": "key-00000001", "club": "54", "swing": "waist", "carry": 41, "unit": "yd"}]
        )
        assert sums(academy) != before
        migrate_database.migrate_database(academy, again)
        assert sums(again) == sums(academy)
        assert files(tmp_path / "again" / "clips") == files(tmp_path / "laptop" / "clips")
        assert len(again.session_balls(session)) == 1


def test_a_target_that_holds_something_is_left_alone_unless_told_and_then_backed_up(
    tmp_path: Path, postgres_url: str
) -> None:
    with filled(tmp_path / "laptop") as laptop, Store(tmp_path / "academy", postgres_url) as academy:
        PhoneBalls(academy).begin("Somebody Else")
        before = sums(academy)
        with raises_saying(UserError, match="already holds data"):
            migrate_database.migrate_database(laptop, academy)
        assert sums(academy) == before
        moved = migrate_database.migrate_database(laptop, academy, replace=True)
        assert sums(academy) == sums(laptop)
        assert moved.kept_before
        assert moved.kept_before.is_file()


def test_rows_that_did_not_arrive_are_noticed_and_the_target_is_as_it_was(
    tmp_path: Path, postgres_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    swap = migrate_database.swap_rows

    def loses_one(connection, source) -> None:  # type: ignore[no-untyped-def]
        swap(connection, source)
        connection.execute(text("UPDATE ball SET body = '' WHERE id = (SELECT max(id) FROM ball)"))

    with filled(tmp_path / "laptop") as laptop, Store(tmp_path / "academy", postgres_url) as academy:
        empty = sums(academy)
        monkeypatch.setattr(migrate_database, "swap_rows", loses_one)
        with raises_saying(UserError, match="rows of ball differ"):
            migrate_database.migrate_database(laptop, academy)
        assert sums(academy) == empty
        assert not list((tmp_path / "academy" / "clips").glob("*"))


def test_the_command_says_what_was_moved_and_what_to_do_next(tmp_path: Path, postgres_url: str) -> None:
    filled(tmp_path / "laptop").close()
    command = [sys.executable, "-m", "threequarter", "move", "--to", postgres_url, "--data", str(tmp_path / "laptop")]
    done = subprocess.run(
        [*command, "--academy-data", str(tmp_path / "academy")], capture_output=True, text=True, timeout=300
    )
    assert done.returncode == 0, done.stderr
    assert "Moved and compared" in done.stdout
    assert "THREEQUARTER_DATABASE_URL" in done.stdout
    again = subprocess.run(command, capture_output=True, text=True, timeout=300)
    assert again.returncode == 2
    assert "already holds data" in again.stderr
    neither = subprocess.run(
        [sys.executable, "-m", "threequarter", "move"], capture_output=True, text=True, timeout=300
    )
    assert neither.returncode == 2
