"""What a coach confirmed of tables: kept for each coach apart, without whose balls they were, gone with a name that is erased."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from threequarter.intake.options import ReadOptions
from threequarter.store.accounts.current_user import CurrentUser, as_user
from threequarter.store.erasure.erase import erase
from threequarter.store.exchange.export_json import export_all
from threequarter.store.imports.confirmed import Confirmed, same_unit
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store

pytestmark = pytest.mark.usefixtures("either_database")
FAR = {"54|waist": 41.0, "54|chest": 55.0}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "data") as opened:
        yield opened


def test_of_a_shape_the_answers_are_kept_but_nothing_that_is_of_one_file(store: Store) -> None:
    assert Confirmed(store).of_shape("k") is None
    told = ReadOptions(unit="m", twins="last", player="Ada Quill", club="54", each="ball", no_balls=("3",))
    Confirmed(store).remember_shape("k", told, FAR)
    assert Confirmed(store).of_shape("k") == (ReadOptions(unit="m", twins="last"), FAR)


def test_a_file_is_read_as_it_was_without_whose_it_is(store: Store) -> None:
    Confirmed(store).remember_file(b"x", ReadOptions(columns={"carry": "3"}, player="Ada Quill"))
    assert Confirmed(store).of_file(b"x") == ReadOptions(columns={"carry": "3"})
    assert Confirmed(store).of_file(b"y") is None


def test_headings_are_learned_newest_first_changed_and_forgotten(store: Store) -> None:
    kept = Confirmed(store)
    kept.learn({"Amount": "swing", "Zahl  A": "carry"})
    kept.learn({"AMOUNT": "club"})
    assert [(one.written, one.role) for one in kept.headings()] == [("AMOUNT", "club"), ("Zahl A", "carry")]
    assert kept.learned(["amount", "Other"]) == {"amount": "club"}
    kept.learn({"amount": None})
    assert [one.written for one in kept.headings()] == ["Zahl A"]


def test_each_coach_has_their_own(store: Store) -> None:
    for room, role in ((1, "swing"), (2, "club")):
        with as_user(CurrentUser(account_id=room, name="c", role="coach", room=room)):
            kept = Confirmed(store)
            assert kept.headings() == []
            assert kept.of_file(b"x") is None
            assert kept.of_shape("k") is None
            kept.learn({"Amount": role})
            kept.remember_file(b"x", ReadOptions(unit="m"))
            kept.remember_shape("k", ReadOptions(unit="m"), FAR)
            assert [one.role for one in kept.headings()] == [role]
    assert Confirmed(store).headings() == []


def test_a_heading_with_the_name_of_an_erased_player_goes_and_how_far_shots_went(store: Store) -> None:
    Roster(store).add("Ada Quill")
    kept = Confirmed(store)
    kept.learn({"Ada Quill (m)": "carry", "Amount": "swing"})
    kept.remember_shape("k", ReadOptions(unit="m"), FAR)
    assert "Amount" in str(export_all(store)["tables"]["shape"])
    erase(store, "Ada Quill")
    assert [one.written for one in kept.headings()] == ["Amount"]
    assert kept.of_shape("k") == (ReadOptions(unit="m"), {})
    assert "Quill" not in str(export_all(store)["tables"]["shape"])


@pytest.mark.parametrize(
    ("times", "same"), [(1.0, True), (1.03, True), (1 / 0.9144, False), (0.9144, False), (3.3, False)]
)
def test_the_same_layout_in_another_unit_is_caught(times: float, same: bool) -> None:
    assert same_unit({shot: far * times for shot, far in FAR.items()}, FAR) is same
    assert not same_unit({"60|hip": 20.0}, FAR)
