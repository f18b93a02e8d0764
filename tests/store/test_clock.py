"""A clock that is set back and forth by a year: nothing is deleted for good, nobody is locked out, typing goes on, the doctor says it."""

import datetime
from pathlib import Path

import pytest
import time_machine

from threequarter.store.accounts import rate_limit
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.history.trash import Trash
from threequarter.store.store import Store
from threequarter.store.tasks.clock import DOUBT, JUMP, last_jump, note_clock
from threequarter.store.tasks.daily_maintenance import run_maintenance

NOW = datetime.datetime(2026, 6, 1, 9, tzinfo=datetime.UTC)
YEAR, DAY = datetime.timedelta(days=365), datetime.timedelta(days=1)


def ball(number: int) -> dict[str, object]:
    return {"key": f"d1f0c2a4-{number:04}", "club": "54", "swing": "waist", "carry": 30.0 + number, "unit": "m"}


def test_a_year_ahead_and_back_deletes_nothing_for_good_and_stops_nobody(tmp_path: Path) -> None:
    with time_machine.travel(NOW, tick=False) as clock, Store.open(tmp_path) as store:
        typing = PhoneBalls(store)
        day, binned = typing.begin("Wren Sedge", "m"), typing.begin("Robin Sedge", "m")
        film = Clips(store).begin("swing.mp4", 4)
        Clips(store).take(film, 0, b"film")
        Trash(store).put_session(binned)
        run_maintenance(store)
        for number, when in enumerate((NOW + YEAR, NOW + DAY, NOW - YEAR, NOW + 2 * DAY, NOW + YEAR, NOW + 3 * DAY)):
            clock.move_to(when)
            run_maintenance(store)
            assert [one.id for one in Trash(store).contents()] == [binned]
            assert Clips(store).clip(film).size == 4
            assert [one.state for one in typing.take(day, [ball(number)])] == ["saved"]
            rate_limit.count_try(store, "name", "wren", 2)
            rate_limit.forget_tries(store, "name", "wren")
            assert last_jump(tmp_path) is not None
        clock.move_to(NOW + 3 * DAY + DOUBT)
        run_maintenance(store)
        assert last_jump(tmp_path) is None
        assert [one.id for one in Trash(store).contents()] == [binned]
        assert len(store.kept_balls(day)) == 6
        for days in (20, 32):  # once the clock is believed again, thirty days are thirty days
            clock.move_to(NOW + datetime.timedelta(days=days))
            run_maintenance(store)
        assert Trash(store).contents() == []


@pytest.mark.parametrize("by", [JUMP + 2 * DAY, -2 * DAY, YEAR, -YEAR])
def test_a_jump_is_noted_and_ends_after_two_weeks_of_a_steady_clock(tmp_path: Path, by: datetime.timedelta) -> None:
    start = NOW.replace(tzinfo=None)
    with Store.open(tmp_path) as store:
        assert note_clock(store, start) is None
        assert note_clock(store, start + DAY) is None
        jump = note_clock(store, start + by)
        assert jump is not None
        assert jump.after - jump.before == by - DAY
        assert note_clock(store, start + by + DOUBT - DAY) == jump
        assert note_clock(store, start + by + DOUBT) is None


def test_a_laptop_used_every_month_never_waits(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        months = [NOW.replace(tzinfo=None) + datetime.timedelta(days=31 * number) for number in range(12)]
        assert [note_clock(store, when) for when in months] == [None] * 12


def test_a_note_that_cannot_be_read_is_as_none(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        (tmp_path / "clock.json").write_text("{half")
        assert note_clock(store) is None
        assert last_jump(tmp_path) is None
