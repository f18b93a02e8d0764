"""Films end after the time that is set, never without two weeks of notice, and not at all where somebody keeps one."""

import datetime
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.saying import raises_saying

from threequarter.golf.errors import UserError
from threequarter.store.accounts.settings import CLIP_MONTHS, set_setting
from threequarter.store.clips.clips import Clips
from threequarter.store.database.schema import ClipRow
from threequarter.store.media.retention import ending, keep, months_before, sweep, sweep_empty
from threequarter.store.store import Store

NOW = datetime.datetime(2026, 11, 26, 9, 0)
DAY = datetime.timedelta(days=1)


@pytest.fixture
def store(tmp_path: Path, database_url: str | None) -> Iterator[Store]:
    with Store.open(tmp_path) as opened:
        yield opened


def film(store: Store, made_at: datetime.datetime) -> int:
    clip_id = Clips(store).begin("a.mp4", 10)
    with store.writing() as session:
        session.get_one(ClipRow, clip_id).made_at = made_at
    return clip_id


def there(store: Store) -> set[int]:
    with store.reading() as session:
        return {row.id for row in session.query(ClipRow)}


def test_a_film_is_told_of_two_weeks_before_it_goes(store: Store) -> None:
    old, young = film(store, NOW - 700 * DAY), film(store, NOW - 30 * DAY)
    assert sweep(store, NOW) == (1, 0)  # also one that is long over is told of first
    assert [(e.id, e.ends_on) for e in ending(store)] == [(old, (NOW + 14 * DAY).date())]
    assert sweep(store, NOW + 13 * DAY) == (0, 0)
    assert there(store) == {old, young}
    assert sweep(store, NOW + 14 * DAY) == (0, 1)
    assert there(store) == {young}
    assert not Clips(store).folder(old).exists()


def test_a_clip_of_which_no_byte_came_for_a_day_goes_and_one_that_began_to_come_stays(store: Store) -> None:
    empty, fresh, begun = film(store, NOW - 2 * DAY), film(store, NOW), film(store, NOW - 2 * DAY)
    Clips(store).take(begun, 0, b"abc")
    assert sweep_empty(store, NOW) == 1
    assert there(store) == {fresh, begun}
    assert not Clips(store).folder(empty).exists()


def test_a_film_that_somebody_keeps_begins_anew(store: Store) -> None:
    clip_id = film(store, NOW - 700 * DAY)
    sweep(store, NOW)
    keep(store, clip_id)
    assert ending(store) == []
    assert sweep(store, NOW + 30 * DAY) == (0, 0)
    assert there(store) == {clip_id}


def test_a_longer_time_or_none_takes_the_notice_back(store: Store) -> None:
    clip_id = film(store, NOW - 400 * DAY)
    sweep(store, NOW)
    set_setting(store, CLIP_MONTHS, "24")
    sweep(store, NOW + 20 * DAY)
    assert ending(store) == []
    set_setting(store, CLIP_MONTHS, "0")
    assert sweep(store, NOW + 9000 * DAY) == (0, 0)
    assert there(store) == {clip_id}
    with raises_saying(UserError, match="240"):
        set_setting(store, CLIP_MONTHS, "-1")


def test_months_end_where_a_month_is_shorter() -> None:
    assert months_before(datetime.datetime(2026, 3, 31), 1) == datetime.datetime(2026, 2, 28)
    assert months_before(datetime.datetime(2024, 3, 31), 13) == datetime.datetime(2023, 2, 28)
    assert months_before(datetime.datetime(2026, 1, 15), -12) == datetime.datetime(2027, 1, 15)
