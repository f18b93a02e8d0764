"""What another room holds is not there: every key, number, name and secret of it, in every part of an address, query, form and body of
every route, from every account of this room. The routes, parts and fields come from the application itself, so a new one is asked at
once. Each is asked twice, with what is there and with what is nowhere: the same answer, and the database notes no row touched."""

from collections.abc import Iterator
from unittest.mock import patch

import pytest
from tests.web.asked_of_rooms import OTHERS, Asker
from tests.web.two_rooms import THEIRS, Rooms, two_rooms

from threequarter.store.accounts import scope

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def rooms(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Rooms]:
    with two_rooms(tmp_path_factory.mktemp("rooms")) as made:
        yield made


def test_the_rooms_are_alike_and_the_database_notes_who_touches_theirs(rooms: Rooms) -> None:
    assert rooms.mine.things.keys() == rooms.theirs.things.keys()
    numbers = [value for value in rooms.theirs.things.values() if isinstance(value, int)]
    assert all(THEIRS <= number < THEIRS + 100 for number in numbers)
    store = rooms.inner.state.store
    store.leave_out(rooms.theirs.things["ball_id"], "a planted change")
    assert "INSERT edit" in rooms.watched.put_back()
    store.leave_out(rooms.mine.things["ball_id"], "one's own")
    assert rooms.watched.put_back() == []


def test_what_another_room_holds_is_not_there_for_a_coach(rooms: Rooms) -> None:
    asker = Asker(rooms)
    asker.every(("coach",))
    assert asker.wrong == [], f"{len(asker.wrong)}:\n" + "\n".join(asker.wrong[:20])
    assert asker.asked > 1300
    assert len(asker.found_own) > 110, (
        "too few go well with things of one's own: what is asked is refused before it is looked up"
    )


def test_what_another_room_holds_is_not_there_for_scripts_players_guardians_and_heads(rooms: Rooms) -> None:
    asker = Asker(rooms)
    asker.every(("script", *OTHERS))
    assert asker.wrong == [], f"{len(asker.wrong)}:\n" + "\n".join(asker.wrong[:20])
    assert asker.asked > 1000


def test_a_room_without_its_filter_is_found_out(rooms: Rooms) -> None:
    asker = Asker(rooms)
    with patch.object(scope, "_criteria", lambda _who: ()):
        asker.every(("coach",), only="/sessions/{session_id}/balls")
    assert len(asker.wrong) > 5
