"""Typed balls from phones: resent, doubled, in another order, from several at once; every ball once, nothing dropped."""

import json
import random
import threading
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select
from tests.saying import raises_saying

from threequarter.golf.ball import MeasuredAs
from threequarter.golf.errors import UserError
from threequarter.golf.units import YARD_M
from threequarter.store.balls import phone_balls
from threequarter.store.balls.conflicts import Conflicts
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.database.schema import EditRow
from threequarter.store.store import Store

pytestmark = pytest.mark.usefixtures("either_database")


def typed(number: int, carry: float = 40.0, **more: Any) -> dict[str, Any]:
    return {"key": f"key-{number:08d}", "club": "54", "swing": "waist", "carry": carry, "unit": "yd", **more}


@pytest.fixture
def bucket(tmp_path: Path) -> PhoneBalls:
    return PhoneBalls(Store.open(tmp_path))


def test_the_same_batch_again_changes_nothing(bucket: PhoneBalls) -> None:
    session = bucket.begin("Wren Sedge")
    batch = [typed(i, 40 + i) for i in range(5)]
    assert {o.state for o in bucket.take(session, batch)} == {"saved"}
    for _ in range(10):
        assert {o.state for o in bucket.take(session, batch)} == {"known"}
    balls = bucket.store.session_balls(session)
    assert [round(ball.distance_m / 0.9144) for ball in balls] == [40, 41, 42, 43, 44]
    assert [ball.number for ball in balls] == [1, 2, 3, 4, 5]


def test_a_known_key_with_other_content_is_a_conflict_and_both_are_kept(bucket: PhoneBalls) -> None:
    session = bucket.begin("Wren Sedge")
    bucket.take(session, [typed(1, 40)])
    assert [bucket.take(session, [typed(1, 50)])[0].state for _ in range(3)] == ["conflict"] * 3
    assert len(bucket.store.session_balls(session)) == 1
    aside = bucket.store.set_aside(session)
    assert len(aside) == 1
    assert json.loads(aside[0].text)["distance_m"] == pytest.approx(50 * 0.9144)


def test_a_ball_that_cannot_be_is_refused_alone(bucket: PhoneBalls) -> None:
    session = bucket.begin("Wren Sedge")
    states = [
        o.state
        for o in bucket.take(
            session, [typed(1), typed(2, 1000), typed(3, float("nan")), typed(4, club=""), {"key": "x"}, typed(5)]
        )
    ]
    assert states == ["saved", "refused", "refused", "refused", "refused", "saved"]


def test_a_ball_can_be_taken_back_twice(bucket: PhoneBalls) -> None:
    session = bucket.begin("Wren Sedge")
    bucket.take(session, [typed(1), typed(2)])
    for _ in range(2):
        assert bucket.take(session, [], back=["key-00000001"])[0].state == "taken back"
    assert [ball.use for ball in bucket.store.session_balls(session)] == [False, True]


def test_four_phones_with_cuts_doubles_and_reorder_keep_every_ball_once(bucket: PhoneBalls) -> None:
    session = bucket.begin("Wren Sedge")

    def phone(which: int) -> None:
        rng = random.Random(which)
        waiting = [typed(1000 * which + i, 30 + i / 10) for i in range(50)]
        while waiting:
            part = rng.sample(waiting, min(len(waiting), rng.randint(1, 12)))
            done = {
                o.key
                for o in bucket.take(session, part + rng.sample(part, min(2, len(part))))
                if o.state in ("saved", "known")
            }
            if rng.random() < 0.7:  # else the answer was lost on the way
                waiting = [ball for ball in waiting if ball["key"] not in done]

    threads = [threading.Thread(target=phone, args=(i,)) for i in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    balls = bucket.store.session_balls(session)
    assert len(balls) == 200
    assert sorted(round(b.distance_m / 0.9144, 1) for b in balls) == sorted(
        30 + i / 10 for i in range(50) for _ in range(4)
    )


def yards(bucket: PhoneBalls, session: int) -> list[float]:
    """The carries that count."""
    return [round(ball.distance_m / YARD_M, 1) for ball in bucket.store.session_balls(session) if ball.use]


def test_the_highest_change_of_a_ball_holds_in_whatever_order_changes_come(bucket: PhoneBalls) -> None:
    session = bucket.begin("Wren Sedge")
    bucket.take(session, [typed(1, 40), typed(2, 50)])
    third = typed(1, 43, rev=3)
    for batch in ([third], [typed(1, 41, rev=1)], [third], [typed(1, 42, rev=2, back=True)]):
        assert {o.state for o in bucket.take(session, [], changes=batch)} == {"changed"}
        assert yards(bucket, session) == [43, 50]
    bucket.take(session, [], changes=[typed(1, 43, rev=4, back=True)])
    assert yards(bucket, session) == [50]
    bucket.take(session, [], changes=[typed(1, 43, rev=5)])
    assert yards(bucket, session) == [43, 50]
    with bucket.store.reading() as rows:
        assert len(rows.scalars(select(EditRow)).all()) == 5
    states = [
        o.state for o in bucket.take(session, [], changes=[typed(9, 40, rev=1), typed(1, 1000, rev=6), typed(1, 40)])
    ]
    assert states == ["refused"] * 3


def test_a_conflict_is_looked_at_with_both_contents_and_settled_once(bucket: PhoneBalls) -> None:
    session = bucket.begin("Wren Sedge")
    looked = Conflicts(bucket.store)
    bucket.take(session, [typed(1, 40), typed(2, 41)])
    bucket.take(session, [typed(1, 50), typed(2, 51)])
    first, second = looked.conflicts(session)
    assert (round(first.kept.distance_m / YARD_M), round(first.other.distance_m / YARD_M)) == (40, 50)
    looked.settle(session, first.id, "other")
    looked.settle(session, second.id, "kept")
    assert yards(bucket, session) == [50, 41]
    assert looked.conflicts(session) == []
    with raises_saying(UserError, match="already settled"):
        looked.settle(session, first.id, "kept")
    assert {o.state for o in bucket.take(session, [typed(1, 50)])} == {"conflict"}
    assert looked.conflicts(session) == []  # what was settled is not asked again


def test_one_ball_noted_on_two_phones_is_shown_and_never_dropped(bucket: PhoneBalls) -> None:
    session = bucket.begin("Wren Sedge")
    looked = Conflicts(bucket.store)
    bucket.take(session, [typed(1, 40, age_s=60), typed(2, 42, age_s=20), typed(3, 44, age_s=2)], phone="a")
    bucket.take(
        session,
        [typed(11, 40, age_s=55), typed(12, 42.4, age_s=18), typed(13, 44, age_s=0), typed(14, 42, age_s=58)],
        phone="b",
    )
    bucket.take(session, [typed(15, 44, age_s=1)], phone="a")
    found = looked.doubles(session)
    assert [round(double.again.ball.distance_m / YARD_M) for double in found] == [40, 44]
    assert len(yards(bucket, session)) == 8
    looked.settle_double(session, found[0].again.id, same=True)
    looked.settle_double(session, found[1].again.id, same=False)
    assert looked.doubles(session) == []
    assert len(yards(bucket, session)) == 7


def test_balls_stand_in_the_order_they_were_typed_whatever_the_clock_of_the_phone(bucket: PhoneBalls) -> None:
    session = bucket.begin("Wren Sedge")
    bucket.take(session, [typed(3, 43, age_s=10), typed(4, 44, age_s=5)], phone="a")
    bucket.take(session, [typed(1, 41, age_s=300), typed(2, 42, age_s=200)], phone="a")
    assert yards(bucket, session) == [41, 42, 43, 44]
    moved = [typed(5, 45, age_s=-5e8), typed(6, 46, age_s=1.8e9), typed(7, 47, age_s="x"), typed(8, 48)]
    bucket.take(session, moved, phone="b")  # clocks set in between: the order within the batch is all that is known
    assert yards(bucket, session) == [41, 42, 43, 44, 45, 46, 47, 48]


def test_each_way_to_measure_brings_its_own_error(bucket: PhoneBalls) -> None:
    session = bucket.begin("Wren Sedge")
    ways = [
        typed(1, 50, unit="paces", by="paces", step=[112, 100]),
        typed(2, 50, unit="paces", by="paces"),
        typed(3, 44, by="pile", count=12),
        typed(4, 40, by="position", radius_m=4.0, start_radius_m=8.0),
        typed(5, 44, by="laser"),
        typed(6, 44, guess=40, guess_unit="yd", by="device"),
    ]
    assert {o.state for o in bucket.take(session, ways)} == {"saved"}
    own, usual, pile, place, laser, device = bucket.store.session_balls(session)
    assert own.distance_m == pytest.approx(50 * 100 / 112)
    assert usual.distance_m == pytest.approx(45)
    assert own.shared_sd_m < usual.shared_sd_m  # type: ignore[operator]
    assert pile.count == 12
    assert (place.error_sd_m, place.shared_sd_m) == (pytest.approx(4 / 2.448), pytest.approx(8 / 2.448))
    assert laser.measured_as is MeasuredAs.REST
    assert laser.error_sd_m
    assert (device.error_sd_m, device.measured_as) == (None, MeasuredAs.CARRY)
    assert device.guess_m == pytest.approx(40 * YARD_M)
    bad = [
        typed(21, by="pile", count=0),
        typed(22, by="position"),
        typed(23, unit="paces", step=[3]),
        typed(24, unit="paces", step=[20, 100]),
        typed(25, guess=9000, guess_unit="yd"),
        typed(26, side=90),
        typed(27, unit="feet"),
    ]
    assert {o.state for o in bucket.take(session, bad)} == {"refused"}


def test_balls_of_the_wrong_player_are_moved_in_one_act_and_back(bucket: PhoneBalls) -> None:
    ours, theirs = bucket.begin("Wren Sedge"), bucket.begin("Ida Fern")
    bucket.take(ours, [typed(i, 40 + i) for i in range(4)])
    bucket.take(ours, [], changes=[typed(3, 60, rev=1)])
    assert bucket.move(["key-00000002", "key-00000003"], ours, theirs) == 2
    assert (yards(bucket, ours), yards(bucket, theirs)) == ([40, 41], [42, 60])
    assert bucket.take(theirs, [typed(2, 42)])[0].state == "known"
    assert bucket.move(["key-00000002", "key-00000003"], theirs, ours) == 2
    assert yards(bucket, ours) == [40, 41, 42, 60]


def test_one_batch_ten_times_in_parallel_is_one_batch(bucket: PhoneBalls) -> None:
    session = bucket.begin("Wren Sedge")
    batch = [typed(i, 30 + i) for i in range(40)]
    threads = [threading.Thread(target=bucket.take, args=(session, batch)) for _ in range(10)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert yards(bucket, session) == [30 + i for i in range(40)]


def test_sessions_begun_last_come_first_also_without_a_ball(bucket: PhoneBalls) -> None:
    first, second = bucket.begin("Wren Sedge"), bucket.begin("Ida Fern")
    bucket.take(first, [typed(1)])
    assert [(one.id, one.player, one.balls) for one in bucket.recent()] == [
        (second, "Ida Fern", 0),
        (first, "Wren Sedge", 1),
    ]


def test_a_session_that_is_gone_is_told(bucket: PhoneBalls) -> None:
    with raises_saying(UserError, match="stay on this phone"):
        bucket.take(999, [typed(1)])
    with raises_saying(UserError, match="Whose balls"):
        bucket.begin("  ")


def test_a_bucket_that_two_tabs_bring_in_one_instant_is_one(
    bucket: PhoneBalls, monkeypatch: pytest.MonkeyPatch
) -> None:
    key = "ab" * 16
    first = bucket.begin("Wren Sedge", key=key)
    looked = []

    def too_early(session: Any, asked: str | None) -> int | None:
        """The second tab looks before the first has written, and once more after the database refused its row."""
        looked.append(asked)
        return None if len(looked) == 1 else begun(session, asked)

    begun = phone_balls._begun
    monkeypatch.setattr(phone_balls, "_begun", too_early)
    assert bucket.begin("Wren Sedge", key=key) == first
    assert len(looked) == 2
    assert [one.id for one in bucket.recent()] == [first]


def test_a_ball_that_was_long_on_its_way_is_not_put_behind_the_next_of_its_phone(bucket: PhoneBalls) -> None:
    session = bucket.begin("Wren Sedge")
    bucket.take(session, [typed(1, 43, age_s=0)], phone="a")  # sent at once, and seconds on its way
    bucket.take(session, [typed(2, 44, age_s=4), typed(3, 45, age_s=3)], phone="a")
    assert yards(bucket, session) == [43, 44, 45]
    bucket.take(session, [typed(4, 40, age_s=6)], phone="b")
    assert yards(bucket, session) == [40, 43, 44, 45]
