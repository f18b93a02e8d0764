"""A key says something only in the session it was typed in: another room's key reads nothing and changes nothing."""

from pathlib import Path
from typing import Any

import pytest

from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.current_user import CurrentUser, as_user
from threequarter.store.balls.conflicts import Conflicts
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.store import Store

KEY = "d1f0c2a4-0001"


def typed(carry: float = 30.2, **more: Any) -> dict[str, Any]:
    return {"key": KEY, "club": "54", "swing": "waist", "carry": carry, "unit": "m", **more}


def carries(store: Store, session_id: int) -> list[float]:
    return [kept.ball.distance_m for kept in store.kept_balls(session_id) if kept.left_out_why is None]


@pytest.fixture
def store(tmp_path: Path, database_url: str | None) -> Any:
    with Store(tmp_path / "a", database_url) as made:
        yield made


def test_one_key_in_two_sessions_is_two_balls(store: Store) -> None:
    balls = PhoneBalls(store)
    first, second = balls.begin("Wren Sedge", "m"), balls.begin("Ada Quill", "m")
    assert [one.state for one in balls.take(first, [typed(30.2)])] == ["saved"]
    assert [one.state for one in balls.take(second, [typed(44.0)])] == ["saved"]
    assert [one.state for one in balls.take(second, [typed(44.0)])] == ["known"]
    assert (carries(store, first), carries(store, second)) == ([30.2], [44.0])


def test_a_key_of_another_room_changes_nothing_and_is_told_as_one_that_never_came(store: Store) -> None:
    head, other = Accounts(store).add("head", "Hedda Moss"), Accounts(store).add("coach", "Jo Reed")
    balls = PhoneBalls(store)
    with as_user(CurrentUser(account_id=head, name="Hedda Moss", role="head", room=head)):
        theirs = balls.begin("Wren Sedge", "m")
        balls.take(theirs, [typed(30.2)])
    with as_user(CurrentUser(account_id=other, name="Jo Reed", role="coach", room=other)):
        mine = balls.begin("Ada Quill", "m")
        never = balls.take(mine, [], ["nobody-typed-this"], [typed(101.5, key="nobody-typed-this", rev=1)])
        asked = balls.take(mine, [], [KEY], [typed(101.5, rev=1)])
        assert [(one.state, one.why) for one in asked] == [(one.state, one.why) for one in never]
    with as_user(CurrentUser(account_id=head, name="Hedda Moss", role="head", room=head)):
        assert carries(store, theirs) == [30.2]


def test_a_change_with_a_number_that_was_used_elsewhere_is_no_mistake_of_the_server(store: Store) -> None:
    balls = PhoneBalls(store)
    first, second = balls.begin("Wren Sedge", "m"), balls.begin("Ada Quill", "m")
    for session_id in (first, second):
        balls.take(session_id, [typed()])
        assert [one.state for one in balls.take(session_id, [], [], [typed(31.0, rev=1)])] == ["changed"]
    assert (carries(store, first), carries(store, second)) == ([31.0], [31.0])


def test_a_ball_that_was_moved_is_known_where_it_was_typed_and_comes_back_whole(store: Store) -> None:
    balls = PhoneBalls(store)
    wrong, right = balls.begin("Wren Sedge", "m"), balls.begin("Ada Quill", "m")
    balls.take(wrong, [typed(30.2)])
    assert [one.state for one in balls.take(wrong, [typed(33.0)])] == ["conflict"]
    assert balls.move([KEY], wrong, right) == 1
    assert [one.state for one in balls.take(wrong, [typed(30.2)])] == ["known"]
    assert (carries(store, wrong), carries(store, right)) == ([], [30.2])
    assert [one.other.distance_m for one in Conflicts(store).conflicts(right)] == [33.0]
    assert balls.move([KEY], right, wrong) == 1
    assert [one.state for one in balls.take(wrong, [typed(30.2)])] == ["known"]
    assert carries(store, wrong) == [30.2]
    Conflicts(store).settle(wrong, Conflicts(store).conflicts(wrong)[0].id, "other")
    assert carries(store, wrong) == [33.0]
