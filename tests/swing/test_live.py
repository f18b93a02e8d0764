"""Swings seen live: measured from points and loudness alone, kept with their ball; against the truth of the rendered clips."""

import datetime
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.live_support import BANG_DB, PHONE_S, down, heard, seen, truth

from threequarter.app.live import keep_live, measure_live
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.clips.lessons import Lessons
from threequarter.store.store import Store
from threequarter.swing.live import QUIETER_DB, check_live, track_of


@pytest.mark.parametrize("name", ["o01_plain", "o02_waist", "o04_left", "o10_indoor_30fps"])
def test_a_swing_with_a_strike_is_a_ball_right_within_its_doubt(name: str) -> None:
    found, told = measure_live(heard(name), down(name)), truth(name)
    assert found.kind == "ball"
    assert found.finished
    assert found.swing is not None
    assert found.bang_db == pytest.approx(BANG_DB, abs=1)
    for field in ("lead_arm_top_deg", "lead_arm_finish_deg", "tempo_ratio"):
        assert abs(found.swing[field] - told[field]) < 1.3 * found.swing["doubt90"][field], field
    assert found.swing["t_impact_s"] == pytest.approx(told["t_impact_s"] + PHONE_S, abs=0.02)
    assert found.answer["handedness"] == ("left" if "left" in name else "right")
    assert found.spoken.startswith("Back ")
    assert "±" not in found.spoken


def test_a_swing_without_a_strike_is_a_practice_swing() -> None:
    found = measure_live(seen("o01_plain"), down("o01_plain"))
    assert found.kind == "practice"
    assert found.swing is not None
    assert found.swing["struck"] == "practice"
    assert found.spoken == "Practice swing."


def test_a_neighbours_strike_does_not_make_a_practice_swing_a_ball() -> None:
    beside = seen("o01_plain", ((truth("o01_plain")["t_impact_s"] - 0.5, BANG_DB),))
    assert measure_live(beside, down("o01_plain")).kind == "practice"
    at_once = heard("o01_plain", BANG_DB - QUIETER_DB - 3)  # at the very moment, but from further off
    assert measure_live(at_once, down("o01_plain")).kind == "ball"
    assert measure_live(replace(at_once, own_db=BANG_DB), down("o01_plain")).kind == "practice"


def test_the_lag_between_sound_and_picture_is_learnt() -> None:
    late = seen("o01_plain", ((truth("o01_plain")["t_impact_s"] + 0.01 - 0.25, BANG_DB),))
    first = measure_live(late, down("o01_plain"))
    assert first.kind == "ball"
    assert first.bang_off_s == pytest.approx(-0.25, abs=0.03)
    assert measure_live(late, down("o01_plain"), lag_s=-0.24).kind == "ball"
    assert measure_live(late, down("o01_plain"), lag_s=0.0).kind == "practice"  # known to be at once: another's
    far = seen("o01_plain", ((truth("o01_plain")["t_impact_s"] - 0.25, 20.0),))
    assert measure_live(far, down("o01_plain")).kind == "practice"  # not clear enough


def test_without_a_microphone_nothing_is_called_a_ball() -> None:
    deaf = replace(seen("o01_plain"), loud_db=np.zeros(0))
    assert measure_live(deaf, down("o01_plain")).kind == "swing"


def test_a_move_that_is_no_swing_is_nothing() -> None:
    still = heard("o01_plain")
    held = replace(still, points=np.repeat(still.points[:1], len(still.points), axis=0))
    assert measure_live(held, down("o01_plain")).kind == "nothing"


def test_a_view_from_the_side_is_refused_in_words() -> None:
    live = heard("o01_plain")
    world = live.world.copy()
    world[..., 2] += 1.6 * world[..., 0]  # shoulders and hips turned by 58 degrees
    found = measure_live(replace(live, world=world), down("o01_plain"))
    assert found.kind == "refused"
    assert "face-on" in found.spoken


def test_dark_pictures_are_told() -> None:
    found = measure_live(replace(heard("o01_plain"), light=20.0), down("o01_plain"))
    assert any("dark" in line for line in found.lines)


def test_a_live_picture_is_never_slow_motion() -> None:
    _track, found = check_live(heard("o10_indoor_30fps"))
    assert found.clock.slower == 1.0
    assert found.clock.sure


def test_bangs_are_on_the_pages_clock() -> None:
    bangs = track_of(heard("o01_plain")).bangs
    assert [at for at, _ in bangs] == [pytest.approx(down("o01_plain"), abs=0.01)]


def test_balls_and_their_swings_are_kept_together(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    now = [datetime.datetime(2026, 5, 2, 10, 0, 0)]
    monkeypatch.setattr("threequarter.store.clips.live.now_utc", lambda: now[0])
    store = Store.open(tmp_path)
    session = PhoneBalls(store).begin("Robin")
    first = measure_live(heard("o01_plain"), down("o01_plain"))
    clip, number = keep_live(store, session, None, first, 1.5)
    now[0] += datetime.timedelta(seconds=3)
    again = keep_live(store, session, clip, first, 4.5)  # the answer was lost and asked for again
    assert (number, again) == (1, (clip, 1))
    other = measure_live(heard("o02_waist"), down("o02_waist"))
    now[0] += datetime.timedelta(seconds=20)
    assert keep_live(store, session, clip, other, 1.5) == (clip, 2)
    kept = Clips(store).clip(clip)
    assert kept.answer is not None
    assert not kept.filmed
    assert [swing["number"] for swing in kept.answer["swings"]] == [1, 2]
    apart = kept.answer["swings"][1]["t_impact_s"] - kept.answer["swings"][0]["t_impact_s"]
    assert apart == pytest.approx(23.0, abs=0.01)
    key = "a" * 32
    PhoneBalls(store).take(session, [{"key": key, "club": "54", "swing": "waist", "carry": 41, "unit": "yd"}])
    ball = store.kept_balls(session)[0]
    Lessons(store).link(clip, 2, ball.id)
    assert Lessons(store).links(session) == {(clip, 2): ball.id}
