"""What a phone saved of itself is kept once, goes on where it was cut off, and leaves what was corrected here alone."""

import datetime
import json
from pathlib import Path
from typing import Any

import pytest

from threequarter.app.phone_copy import FORMAT, bring_in, is_copy, read_copy
from threequarter.golf.errors import UserError
from threequarter.golf.units import YARD_M
from threequarter.language import say_error
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.store import Store

NOW = datetime.datetime(2027, 3, 9, 12, 0)
HOUR_MS = 3_600_000


def ms(when: datetime.datetime) -> float:
    return when.replace(tzinfo=datetime.UTC).timestamp() * 1000


def a_ball(n: int, carry: float = 41, **more: Any) -> dict[str, Any]:
    at = ms(NOW) - 2 * HOUR_MS + 30_000 * n
    return {
        "key": f"{n:032x}",
        "n": n,
        "at": at,
        "edits": 0,
        "back": False,
        "club": "54",
        "swing": "waist",
        "carry": carry,
        "unit": "yd",
        "by": "device",
    } | more


def a_copy(*balls: dict[str, Any], at: float | None = None) -> bytes:
    bucket = {
        "key": "ab" * 16,
        "player": "Lark Fenn",
        "unit": "yd",
        "clubs": ["54"],
        "swings": ["waist"],
        "at": ms(NOW) - 2 * HOUR_MS if at is None else at,
        "balls": list(balls),
        "tests": [],
    }
    return json.dumps({"format": FORMAT, "made": "2027-03-09T12:00:00Z", "buckets": [bucket]}).encode()


def yards(store: Store, session: int) -> list[int]:
    return [round(ball.distance_m / YARD_M) for ball in store.session_balls(session) if ball.use]


@pytest.fixture
def store(tmp_path: Path) -> Any:
    with Store.open(tmp_path) as made:
        yield made


def test_the_same_file_twice_is_once(store: Store) -> None:
    content = a_copy(*(a_ball(n, 40 + n) for n in range(1, 6)), a_ball(6, back=True, edits=1))
    assert is_copy(content)
    first = bring_in(store, read_copy(content), NOW)
    again = bring_in(store, read_copy(content), NOW)
    assert (first.fresh, first.known, again.fresh, again.known, again.changed) == (5, 0, 0, 5, 0)
    assert first.sessions == again.sessions
    assert yards(store, first.sessions[0]) == [41, 42, 43, 44, 45]
    assert store.session(first.sessions[0]).made_at == NOW - datetime.timedelta(hours=2)


def test_a_later_copy_brings_what_changed_and_nothing_twice(store: Store) -> None:
    bring_in(store, read_copy(a_copy(a_ball(1, 41), a_ball(2, 42))), NOW)
    later = a_copy(a_ball(1, 31, edits=1), a_ball(2, 42, back=True, edits=1), a_ball(3, 43, edits=2))
    found = bring_in(store, read_copy(later), NOW)
    assert (found.fresh, found.changed) == (1, 2)
    assert yards(store, found.sessions[0]) == [31, 43]
    older = bring_in(store, read_copy(a_copy(a_ball(1, 41), a_ball(2, 42))), NOW)
    assert (older.fresh, older.changed) == (0, 0)
    assert yards(store, found.sessions[0]) == [31, 43]
    once_more = bring_in(store, read_copy(later), NOW)
    assert (once_more.fresh, once_more.changed, once_more.known) == (0, 0, 3)


def test_the_phone_that_sends_itself_afterwards_adds_nothing(store: Store) -> None:
    brought = bring_in(store, read_copy(a_copy(a_ball(1, 41, edits=2), a_ball(2, 42))), NOW)
    phone = PhoneBalls(store)
    session = phone.begin("Lark Fenn", "yd", key="ab" * 16)
    assert [session] == brought.sessions
    outcomes = phone.take(session, [a_ball(1, 41), a_ball(2, 42)], changes=[a_ball(1, 39, rev=3)])
    assert [one.state for one in outcomes] == ["known", "known", "changed"]
    assert yards(store, session) == [39, 42]


def test_a_wrong_clock_gives_the_day_it_came(store: Store) -> None:
    for years in (-5, 1):
        at = ms(NOW.replace(year=NOW.year + years))
        content = a_copy(a_ball(1, at=at), at=at).replace(b"abababab", f"{years + 9:08x}".encode())
        (session,) = bring_in(store, read_copy(content), NOW).sessions
        made = store.session(session).made_at
        assert abs(made - datetime.datetime.now(datetime.UTC).replace(tzinfo=None)) < datetime.timedelta(hours=1)


def test_what_cannot_be_is_told_and_the_rest_is_kept(store: Store) -> None:
    found = bring_in(store, read_copy(a_copy(a_ball(1, 41), a_ball(2, 9000))), NOW)
    assert (found.fresh, len(found.refused)) == (1, 1)


@pytest.mark.parametrize("spoil", [lambda text: text[:-40], lambda text: text.replace(b'"unit": "yd"', b'"unit": 3')])
def test_a_file_that_was_cut_short_is_no_copy(spoil: Any) -> None:
    with pytest.raises(UserError):
        read_copy(spoil(a_copy(a_ball(1))))


def test_the_command_brings_it_in_once(tmp_path: Path) -> None:
    from click.testing import CliRunner

    from threequarter.cli.main import group

    file = tmp_path / "phone.json"
    file.write_bytes(a_copy(*(a_ball(n, 40 + n) for n in range(1, 4))))
    asked = ["import", str(file), "--data", str(tmp_path / "data")]
    assert "3 new" in CliRunner().invoke(group, asked, catch_exceptions=False).output
    again = CliRunner().invoke(group, asked, catch_exceptions=False)
    assert "0 new, 0 changed, 3 already here" in again.output


def test_beside_other_files_it_is_asked_for_alone() -> None:
    from threequarter.store.imports.import_batch import inspect_file

    found = inspect_file(a_copy(a_ball(1)), "phone.json")
    assert "on its own" in say_error(UserError(found.error))
