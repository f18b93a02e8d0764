"""Notes about players, sessions given to another player, and a database of an earlier version."""

from pathlib import Path

import pytest
from tests.saying import raises_saying

from threequarter.golf.errors import UserError
from threequarter.golf.units import Units
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.erasure.erase import erase
from threequarter.store.exchange.export_json import export_all
from threequarter.store.people.roster import Roster
from threequarter.store.results import Preferences
from threequarter.store.store import Store

pytestmark = pytest.mark.usefixtures("either_database")


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store.open(tmp_path)


def bucket(store: Store, player: str) -> int:
    bucket = PhoneBalls(store)
    session = bucket.begin(player)
    ball = {"key": f"key-of-{player}-{session}", "club": "54", "swing": "waist", "carry": 42, "unit": "yd"}
    assert [o.state for o in bucket.take(session, [ball])] == ["saved"]
    return session


def test_a_note_is_found_by_its_words_taken_back_and_brought_again(store: Store) -> None:
    roster = Roster(store)
    kept = roster.note("Wren Sedge", "Rushes the three-quarter swing when the WIND is up")
    roster.note("Ivo Quill", "Left knee: no full swings until spring")
    assert [n.player for n in roster.search("wind rushes")] == ["Wren Sedge"]
    assert roster.search("") == []
    assert roster.undo_note(kept) == "Wren Sedge"
    assert roster.notes("wren sedge") == []
    roster.redo_note(kept)
    assert [n.text for n in roster.notes("wren sedge")] == ["Rushes the three-quarter swing when the WIND is up"]
    for bad in (" \n", "x" * 4001):
        with raises_saying(UserError, match="saved"):
            roster.note("Wren Sedge", bad)
    with raises_saying(UserError, match="no note"):
        roster.undo_note(99)


def test_a_player_entered_twice_becomes_one_and_two_again(store: Store) -> None:
    roster = Roster(store)
    own, theirs = bucket(store, "Wren Sedge"), bucket(store, "W. Sedge")
    moved = roster.move_sessions("W. Sedge", "Wren Sedge")
    assert moved == [theirs]
    assert {s.id for s in store.sessions(["Wren Sedge"])} == {own, theirs}
    roster.move_sessions("Wren Sedge", "W. Sedge", moved)
    assert [s.id for s in store.sessions(["Wren Sedge"])] == [own]
    assert [s.id for s in store.sessions(["W. Sedge"])] == [theirs]
    with raises_saying(UserError, match="already one player"):
        roster.move_sessions("Wren Sedge", "wren  SEDGE")


def test_only_a_player_of_whom_nothing_is_kept_leaves_the_roster(store: Store) -> None:
    roster = Roster(store)
    bucket(store, "W. Sedge")
    with raises_saying(UserError, match="days"):
        roster.drop("W. Sedge")
    roster.move_sessions("W. Sedge", "Wren Sedge")
    roster.drop("W. Sedge")
    assert [p.name for p in Roster(store).players()] == ["Wren Sedge"]
    with raises_saying(UserError, match="no player"):
        roster.drop("W. Sedge")


def test_notes_go_out_with_their_player_and_are_erased_with_them(store: Store) -> None:
    roster = Roster(store)
    roster.note("Wren Sedge", "a secret of Wren's")
    roster.note("Ivo Quill", "stays")
    assert [n["text"] for n in export_all(store, "Wren Sedge")["tables"]["note"]] == ["a secret of Wren's"]
    assert erase(store, "Wren Sedge")["removed"]["note"] == 1
    store.close()
    assert b"a secret of Wren" not in b"".join(p.read_bytes() for p in store.data_dir.rglob("*") if p.is_file())
    assert [n.text for n in Roster(Store.open(store.data_dir)).notes("Ivo Quill")] == ["stays"]


def test_units_and_language_are_kept_by_player_and_the_rest_is_usual(store: Store) -> None:
    roster = Roster(store)
    bucket(store, "Wren Sedge")
    assert roster.reader("Wren Sedge") == roster.reader("nobody") == Preferences()
    roster.set_reader("wren sedge", Preferences(speed="mph", temperature="F", language="de"))
    assert roster.reader("Wren Sedge") == Preferences(speed="mph", temperature="F", language="de")
    assert roster.reader("Wren Sedge").units(Units()) == Units(speed="mph", temperature="F", height="ft")
    assert export_all(store, "Wren Sedge")["tables"]["player"][0]["speed_unit"] == "mph"
    roster.set_reader("Wren Sedge", Preferences(distance="miles"))  # type: ignore[arg-type]
    assert roster.reader("Wren Sedge") == Preferences()
    with pytest.raises(UserError):
        roster.set_reader("nobody", Preferences())
