"""Players whom an import brought go with it and come back with it; whoever has anything else stays."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.store.full import TWO, add_film
from tests.store.sheets import as_bytes, read

from threequarter.store.accounts.accounts import Accounts
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.exchange.reimport import redo_batch, undo_batch
from threequarter.store.history.history import History
from threequarter.store.imports.import_batch import inspect_file, save_batch
from threequarter.store.people.roster import Roster
from threequarter.store.results import Club
from threequarter.store.store import Store

pytestmark = pytest.mark.usefixtures("either_database")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "data") as opened:
        yield opened


def keep(store: Store, player: str, metres: list[float], name: str = "range.csv") -> int:
    """The import that a file makes."""
    kept = store.keep_reading(read(metres), as_bytes(metres), name=name, player=player)
    assert kept.import_id is not None
    return kept.import_id


def listed(store: Store) -> set[str]:
    """Whom the lists show, which are of one mind."""
    names = set(Roster(store).names())
    assert names == {player.name for player in Roster(store).players()}
    assert names == {name for room in Accounts(store).rooms().values() for _number, name in room}
    return names


def test_the_player_goes_with_the_import_and_comes_back_with_it(store: Store) -> None:
    brought = keep(store, "Wren Sedge", [50, 51])
    store.undo_import(brought)
    assert listed(store) == set()
    store.redo_import(brought)
    assert listed(store) == {"Wren Sedge"}
    History(store).take_back("import", brought)
    assert listed(store) == set()
    History(store).again("import", brought)
    assert listed(store) == {"Wren Sedge"}


def test_all_players_of_a_table_go_with_its_act(store: Store) -> None:
    batch = save_batch(store, [inspect_file(TWO, "two.csv")]).batch
    assert batch
    assert listed(store) == {"Wren Sedge", "Ivo Quill"}
    undo_batch(store, batch)
    assert listed(store) == set()
    redo_batch(store, batch)
    assert listed(store) == {"Wren Sedge", "Ivo Quill"}


def test_the_same_file_again_brings_them_back(store: Store) -> None:
    store.undo_import(keep(store, "Wren Sedge", [50, 51]))
    keep(store, "Wren Sedge", [50, 51])
    assert listed(store) == {"Wren Sedge"}


@pytest.mark.parametrize("what", ["balls", "typed", "note", "bag", "film", "account", "by hand before"])
def test_whoever_has_anything_else_stays(store: Store, what: str) -> None:
    roster = Roster(store)
    if what == "by hand before":
        roster.add("Wren Sedge")
    brought = keep(store, "Wren Sedge", [50, 51])
    if what == "balls":
        keep(store, "Wren Sedge", [70, 71, 72], "other.csv")
    elif what == "typed":
        PhoneBalls(store).begin("Wren Sedge")
    elif what == "note":
        roster.note("Wren Sedge", "tempo")
    elif what == "bag":
        roster.set_bag("Wren Sedge", [Club(label="54")])
    elif what == "film":
        add_film(store, 1, b"film of a swing")
    elif what == "account":
        Accounts(store).add("player", "Wren", players=(1,))
    store.undo_import(brought)
    assert listed(store) == {"Wren Sedge"}


def test_two_imports_of_one_player_go_with_the_last(store: Store) -> None:
    first, second = keep(store, "Wren Sedge", [50, 51]), keep(store, "Wren Sedge", [70, 71, 72], "other.csv")
    store.undo_import(first)
    assert listed(store) == {"Wren Sedge"}
    store.undo_import(second)
    assert listed(store) == set()
    store.redo_import(second)
    assert listed(store) == {"Wren Sedge"}


@pytest.mark.parametrize("how", ["by hand", "a note", "merged into"])
def test_who_is_named_again_is_on_the_lists_again(store: Store, how: str) -> None:
    store.undo_import(keep(store, "Wren Sedge", [50, 51]))
    if how == "by hand":
        Roster(store).add("wren sedge")
    elif how == "a note":
        Roster(store).note("Wren Sedge", "tempo")
    else:
        Roster(store).add("W. Sedge")
        Roster(store).merge("W. Sedge", "Wren Sedge")
    assert Roster(store).names() == ["Wren Sedge"]
