"""A damaged database file and films that went by hand: told in words, the cure works, and nothing is thrown away."""

import datetime
from pathlib import Path

import pytest
from tests.saying import raises_saying
from tests.store.full import FILM, add_film, fill
from tests.tests_support import load_module

from threequarter.golf.errors import UserError
from threequarter.language import say_error
from threequarter.store.backup.backup import backup
from threequarter.store.backup.restore import restore
from threequarter.store.backup.retention import surplus_safety_backups
from threequarter.store.clips.clips import Clips
from threequarter.store.database.engines import FILE_NAME
from threequarter.store.database.soundness import damage_told
from threequarter.store.messages import message_from_text
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store
from threequarter.store.tasks.integrity import check_integrity, last_integrity

rig = load_module("damage", Path(__file__).parents[1] / "torture" / "damage.py")


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A filled data folder with a backup beside it, closed."""
    with Store(tmp_path / "data") as store:
        fill(store)
        backup(store, tmp_path / "good.zip")
    return tmp_path


def spoil(file: Path) -> bytes:
    """Overwrites the head of the file."""
    with file.open("r+b") as out:
        out.write(b"not a database any more " * 200)
    return file.read_bytes()


def test_every_command_says_damage_in_words(tmp_path: Path) -> None:
    seen = rig.Seen()
    rig.run_all(tmp_path, seen, files=4, seed=3)
    assert seen.crashes == []
    assert sum(seen.ended.values()) == 4 * len(rig.COMMANDS)
    assert any("exit 2" in line for line in seen.ended)


def test_a_restore_replaces_a_damaged_file_and_keeps_it(kept: Path) -> None:
    was = spoil(kept / "data" / FILE_NAME)
    with raises_saying(UserError, "damaged"):
        restore(kept / "good.zip", kept / "data")
    assert (kept / "data" / FILE_NAME).read_bytes() == was
    done = restore(kept / "good.zip", kept / "data", replace=True)
    assert done.kept_before is not None
    assert (done.kept_before / FILE_NAME).read_bytes() == was
    with Store(kept / "data") as store:
        assert len(Roster(store).players()) == 4


def test_a_restore_that_fails_puts_the_damaged_file_back(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    was = spoil(kept / "data" / FILE_NAME)

    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("threequarter.store.backup.restore._move_in", fails)
    with raises_saying(UserError, "No space left"):
        restore(kept / "good.zip", kept / "data", replace=True)
    assert (kept / "data" / FILE_NAME).read_bytes() == was
    assert not list((kept / "data").glob("damaged-*"))


def test_damaged_files_set_aside_go_like_other_copies_from_before_a_restore() -> None:
    paths = [Path(f"damaged-2026-11-0{n}-120000") for n in range(1, 6)]
    assert surplus_safety_backups(paths, [], datetime.datetime(2026, 11, 30)) == paths[:2]


def test_a_fault_of_ours_is_never_told_as_damage(kept: Path) -> None:
    with Store(kept / "data") as store, pytest.raises(ZeroDivisionError), damage_told(store.engine):
        1 / 0  # noqa: B018
    with Store(kept / "data") as store, pytest.raises(ZeroDivisionError), store.reading():
        1 / 0  # noqa: B018


def test_the_daily_check_finds_a_film_that_went_by_hand(kept: Path) -> None:
    with Store(kept / "data") as store:
        clip = add_film(store, 1, FILM)
        before = check_integrity(store)
        assert clip not in before.films
        assert not before.damage
        Clips(store).file(clip).unlink()
        after = check_integrity(store)
        assert set(after.films) - set(before.films) == {clip}
        assert last_integrity(store.data_dir) == after


def test_the_daily_check_finds_a_damaged_page(kept: Path) -> None:
    file = kept / "data" / FILE_NAME
    with file.open("r+b") as out:
        out.seek(8 * 4096)
        out.write(b"\xff" * 4 * 4096)
    with Store(kept / "data") as store:
        found = check_integrity(store)
    assert not found.well
    assert message_from_text(found.damage).code == "store.the_database_is_damaged_restore"  # type: ignore[union-attr]


def test_a_check_that_cannot_be_read_is_none(tmp_path: Path) -> None:
    (tmp_path / "integrity.json").write_text('{"checked_at": 3}')
    assert last_integrity(tmp_path) is None


@pytest.mark.parametrize(
    ("was", "now"),
    [(b"CREATE TABLE ", b"CREATE T\xc1\xff\xfeE "), (b"Wren Sedge", b"Wre\xff Sedg\xc1")],
    ids=["the words of a table", "a name"],
)
def test_damage_whose_words_are_no_text_any_more_is_told_and_holds_no_name(kept: Path, was: bytes, now: bytes) -> None:
    file = kept / "data" / FILE_NAME
    content = file.read_bytes()
    assert was in content
    file.write_bytes(content.replace(was, now))
    for rest in ("-wal", "-shm"):
        file.with_name(FILE_NAME + rest).unlink(missing_ok=True)
    with pytest.raises(UserError) as told, Store(kept / "data") as store:
        Roster(store).players()
    assert say_error(told.value).startswith("The database is damaged")
    assert "Sedg" not in say_error(told.value)
