"""Two filmed swings of a player: of the first day with a film and of the last, those that went back most alike."""

import datetime
import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from tests.web.claims import SWING

from threequarter.app.then_and_now import then_and_now
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.store import Store


def filmed(store: Store, day: int, backs_deg: Sequence[float]) -> None:
    """A day of May with a clip whose swings went so far back, each twenty degrees less through."""
    session = PhoneBalls(store).begin("Wren Sedge", "yd")
    store.set_facts(session, replace(store.facts(session), held_on=datetime.date(2026, 5, day)))
    clips = Clips(store)
    clip = clips.begin("swing.mp4", 4, session_id=session)
    clips.take(clip, 0, b"film")
    scratch = clips.folder(clip) / ".work-somebody"
    (scratch / "pictures").mkdir(parents=True)
    ends = [(f"lead_arm_{end}{view}_deg", by) for end, by in (("top", 0), ("finish", -20)) for view in ("", "_square")]
    swings = [{**SWING, **{name: back + by for name, by in ends}} for back in backs_deg]
    (scratch / "answer.json").write_text(
        json.dumps({"swings": swings, "words": [], "warnings": [], "handedness": "right"})
    )
    (scratch / "track.npz").write_bytes(b"points")
    assert clips.keep_answer(clip, scratch)


def test_the_two_swings_that_went_back_most_alike_are_compared(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        filmed(store, 1, [50.0, 88.0])
        assert then_and_now(store, store.sessions(["Wren Sedge"])) is None  # one day is no before and after
        filmed(store, 20, [120.0])
        filmed(store, 30, [70.0, 91.0])
        found = then_and_now(store, store.sessions(["Wren Sedge"]))
        assert found is not None
        assert (found.then.day.day, found.then.back_deg, found.then.number) == (1, 88.0, 2)
        assert (found.now.day.day, found.now.back_deg, found.now.number) == (30, 91.0, 2)
        assert found.now.through_deg == pytest.approx(71.0)
        assert found.now.matched.kind == "shorter"
