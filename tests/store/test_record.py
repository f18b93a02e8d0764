"""What is done to all that is kept leaves a line in the record: erase, backup, restore, move; numbers, never names."""

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner
from starlette.testclient import TestClient
from tests.store.full import fill

from threequarter.cli.main import group
from threequarter.store.accounts import audit
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store
from threequarter.web.app import make_app
from web_support import inner_of

pytestmark = pytest.mark.slow


def run(*words: str | Path) -> str:
    """A command that goes well; what it says."""
    done = CliRunner().invoke(group, [str(word) for word in words], catch_exceptions=False)
    assert done.exit_code == 0, done.output
    return done.output


def lines(folder: Path, url: str | None = None) -> list[tuple[str, str, str, str]]:
    """Who, what, of whom and the rest, the oldest first."""
    with Store(folder, url) as store:
        return [(line.who, line.act, line.player, line.detail) for line in reversed(audit.lines(store))]


@pytest.fixture
def full(tmp_path: Path, database_url: str | None) -> Path:
    with Store(tmp_path / "here", database_url) as store:
        fill(store)
    return tmp_path / "here"


def test_erasing_and_backing_up_by_command_are_in_the_record_by_number(
    full: Path, tmp_path: Path, database_url: str | None
) -> None:
    with Store(full, database_url) as store:
        number = Roster(store).add("Wren Sedge")
    run("backup", tmp_path / "all.zip", "--data", full)
    run("erase", "--player", "Wren Sedge", "--yes", "--data", full)
    run("backup", "--keep", "7", tmp_path / "folder", "--data", full)
    assert lines(full, database_url) == [
        ("", "made a backup", "", "4 players, 13 balls"),
        ("", "erased a player", f"#{number}", ""),
        ("", "made a backup", "", "3 players, 11 balls"),
    ]


def test_erasing_that_fails_leaves_no_line(full: Path, database_url: str | None) -> None:
    done = CliRunner().invoke(group, ["erase", "--player", "Nobody Known", "--yes", "--data", str(full)])
    assert done.exit_code != 0
    assert lines(full, database_url) == []


def test_a_restore_stands_in_the_record_of_what_was_restored(
    full: Path, tmp_path: Path, database_url: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("backup", tmp_path / "first.zip", "--data", full)
    run("backup", tmp_path / "second.zip", "--data", full)
    monkeypatch.delenv("THREEQUARTER_DATABASE_URL", raising=False)
    run("restore", tmp_path / "second.zip", "--data", tmp_path / "new")
    first, restored = lines(tmp_path / "new")
    assert first == ("", "made a backup", "", "4 players, 13 balls")
    assert restored[:3] == ("", "restored a backup", "")
    assert restored[3].startswith("4 players, 13 balls, of 20")
    run("restore", tmp_path / "first.zip", "--replace", "--data", tmp_path / "new")
    assert [act for _who, act, *_ in lines(tmp_path / "new")] == ["restored a backup"]


def test_a_record_alone_does_not_make_a_place_used(tmp_path: Path) -> None:
    with Store(tmp_path / "here") as store:
        fill(store)
    run("backup", tmp_path / "all.zip", "--data", tmp_path / "here")
    run("backup", tmp_path / "empty.zip", "--data", tmp_path / "new")
    assert len(lines(tmp_path / "new")) == 1
    run("restore", tmp_path / "all.zip", "--data", tmp_path / "new")
    assert [act for _who, act, *_ in lines(tmp_path / "new")] == ["restored a backup"]


def test_a_move_stands_in_the_record_where_it_went_with_all_lines_from_before(
    tmp_path: Path, postgres_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("THREEQUARTER_DATABASE_URL", raising=False)
    with Store(tmp_path / "here") as store:
        fill(store)
    run("backup", tmp_path / "all.zip", "--data", tmp_path / "here")
    before = lines(tmp_path / "here")
    run("move", "--to", postgres_url, "--data", tmp_path / "here", "--academy-data", tmp_path / "academy")
    moved = ("", "moved everything here", "", "4 players, 13 balls")
    assert lines(tmp_path / "here") == before
    assert lines(tmp_path / "academy", postgres_url) == [*before, moved]
    shutil.rmtree(tmp_path / "here")
    run("move", "--from", postgres_url, "--data", tmp_path / "here", "--academy-data", tmp_path / "academy")
    assert lines(tmp_path / "here") == [*before, moved, moved]


def test_erasing_on_the_page_of_a_laptop_is_in_the_record_too(full: Path, database_url: str | None) -> None:
    app = make_app(full, frozenset({"localhost:8754"}))
    client = TestClient(app, base_url="http://localhost:8754", follow_redirects=False)
    gone = client.post("/players/Wren%20Sedge/erase", data={"typed": "Wren Sedge"})
    assert gone.headers["location"].startswith("/safekeeping/erased?mark=")
    inner_of(app).state.store.close()
    assert [(who, act) for who, act, *_ in lines(full, database_url)] == [("", "erased a player")]
