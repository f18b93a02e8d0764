"""Tables that other hands wrote: no ball is silently wrong, none is invented, and few are refused."""

import json
from pathlib import Path
from typing import Any

import pytest

from threequarter.intake.answer import reading_answer
from threequarter.intake.load import read_any
from threequarter.intake.options import ReadOptions
from worlds.table_judge import Verdict, judge

pytestmark = pytest.mark.slow

FOLDER = Path(__file__).parents[1] / "data" / "strangers_tables"
HANDS = {"a": 60, "b": 60, "c": 50, "d": 50, "e": 40}
"""Tables of each."""


def plain(label: Any) -> str:
    return "".join(str(label or "").casefold().split())


def judged(path: Path) -> Verdict:
    """A table's verdict; a label read by its legend ("1" as "waist") counts as the label itself."""
    truth = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
    answer = reading_answer(read_any(path, ReadOptions()))
    for field, told in (truth.get("same_labels") or {}).items():
        back = {plain(word): label for label, also in told.items() for word in also}
        for ball in answer["balls"]:
            ball[field] = back.get(plain(ball.get(field)), ball.get(field))
    return judge(truth, answer)


@pytest.mark.parametrize("hand", HANDS)
def test_no_ball_of_a_stranger_is_silently_wrong_or_invented(hand: str) -> None:
    paths = sorted(path for path in FOLDER.glob(f"{hand}*") if path.suffix != ".json")
    verdicts = {path.name: judged(path) for path in paths}
    assert len(verdicts) == HANDS[hand]
    wrong = {name: dict(v.counts) for name, v in verdicts.items() if v.counts["silently wrong"] or v.counts["invented"]}
    assert wrong == {}
    balls = sum(
        sum(v.counts[kind] for kind in ("right", "covered", "refused", "aside", "missing", "other"))
        for v in verdicts.values()
    )
    assert sum(v.counts["right"] + v.counts["covered"] for v in verdicts.values()) >= 0.85 * balls
