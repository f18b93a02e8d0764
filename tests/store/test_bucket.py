"""Typed balls from phones: resent, doubled, in another order, from several at once; every ball once, nothing dropped."""

import json
import random
import threading
from pathlib import Path
from typing import Any

import pytest

from threequarter.golf.errors import UserError
from threequarter.store.bucket import Bucket
from threequarter.store.store import Store

pytestmark = pytest.mark.usefixtures("either_database")


def typed(number: int, carry: float = 40.0, **more: Any) -> dict[str, Any]:
    return {"key": f"key-{number:08d}", "club": "54", "swing": "waist", "carry": carry, "unit": "yd", **more}


@pytest.fixture
def bucket(tmp_path: Path) -> Bucket:
    return Bucket(Store.open(tmp_path))


def test_the_same_batch_again_changes_nothing(bucket: Bucket) -> None:
    session = bucket.begin("Wren Sedge")
    batch = [typed(i, 40 + i) for i in range(5)]
    assert {o.state for o in bucket.take(session, batch)} == {"saved"}
    for _ in range(10):
        assert {o.state for o in bucket.take(session, batch)} == {"known"}
    balls = bucket.store.session_balls(session)
    assert [round(ball.distance_m / 0.9144) for ball in balls] == [40, 41, 42, 43, 44]
    assert [ball.number for ball in balls] == [1, 2, 3, 4, 5]


def test_a_known_key_with_other_content_is_a_conflict_and_both_are_kept(bucket: Bucket) -> None:
    session = bucket.begin("Wren Sedge")
    bucket.take(session, [typed(1, 40)])
    assert [bucket.take(session, [typed(1, 50)])[0].state for _ in range(3)] == ["conflict"] * 3
    assert len(bucket.store.session_balls(session)) == 1
    aside = bucket.store.set_aside(session)
    assert len(aside) == 1
    assert json.loads(aside[0].text)["distance_m"] == pytest.approx(50 * 0.9144)


def test_a_ball_that_cannot_be_is_refused_alone(bucket: Bucket) -> None:
    session = bucket.begin("Wren Sedge")
    states = [
        o.state
        for o in bucket.take(
            session, [typed(1), typed(2, 1000), typed(3, float("nan")), typed(4, club=""), {"key": "x"}, typed(5)]
        )
    ]
    assert states == ["saved", "refused", "refused", "refused", "refused", "saved"]


def test_a_ball_can_be_taken_back_twice(bucket: Bucket) -> None:
    session = bucket.begin("Wren Sedge")
    bucket.take(session, [typed(1), typed(2)])
    for _ in range(2):
        assert bucket.take(session, [], back=["key-00000001"])[0].state == "taken back"
    assert [ball.use for ball in bucket.store.session_balls(session)] == [False, True]


def test_four_phones_with_cuts_doubles_and_reorder_keep_every_ball_once(bucket: Bucket) -> None:
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


def test_a_session_that_is_gone_is_told(bucket: Bucket) -> None:
    with pytest.raises(UserError, match="stay on this phone"):
        bucket.take(999, [typed(1)])
    with pytest.raises(UserError, match="Whose balls"):
        bucket.begin("  ")
