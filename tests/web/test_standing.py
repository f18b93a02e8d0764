"""The standing chart of a player: what it says after a move, and that what is kept of it is what would be computed."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.web.claims import Walk, begin, hit, shots, walked

from threequarter.app import kept_charts
from threequarter.app.standing import standing_chart, verdicts
from threequarter.store.erasure.erase import erase
from threequarter.store.store import Store


@pytest.fixture
def walk(tmp_path: Path) -> Iterator[Walk]:
    made = walked(tmp_path)
    with made.client:
        yield made


def two_days(walk: Walk, times: float) -> None:
    for number, held_on in enumerate(("2026-04-18", "2026-06-20")):
        day = begin(walk, "Ada Quill", clubs="50, 54", swings="waist", held_on=held_on)
        moved = times if number else 1.0
        hit(walk, day, shots(6 + number, ["50", "54"], ["waist"], 14, times=moved, mishits=0.0, spread=0.03))


def test_a_chart_that_moved_is_not_good_enough_and_its_next_ball_is_about_its_carry(walk: Walk) -> None:
    two_days(walk, 1.12)
    with Store(walk.folder) as store:
        found = standing_chart(store, "Ada Quill")
        assert found is not None
        assert found.recheck is not None
        assert found.recheck.found.verdict == "moved"
        advice = found.answer.advice
        assert (advice.state, advice.enough, advice.stop) == ("moved", False, False)
        assert advice.balls_to_go >= 6
        for cell in found.chart.cells:
            middle = (cell.next90_m.low + cell.next90_m.high) / 2
            assert middle == pytest.approx(cell.stock_carry_m, rel=0.02)
            assert cell.next90_m.low < 0.97 * cell.stock_carry_m
    page = walk.text("/players/Ada Quill")
    assert "It moved." in page
    assert "Good enough overall" not in page
    assert "It moved." in walk.text("/players")


def test_a_chart_that_holds_may_be_good_enough(walk: Walk) -> None:
    two_days(walk, 1.0)
    page = walk.text("/players/Ada Quill")
    assert "The chart still holds." in page
    assert "Good enough" in page


def test_what_is_kept_is_what_is_computed_and_changes_with_the_balls(walk: Walk) -> None:
    two_days(walk, 1.0)
    with Store(walk.folder) as store:
        fresh = standing_chart(store, "Ada Quill")
        kept_charts._recent.clear()
        kept = standing_chart(store, "Ada Quill")
        assert fresh is not None
        assert kept is not None
        assert kept is not fresh
        assert kept.chart.cells == fresh.chart.cells
        assert (kept.chart.draws_log_carry == fresh.chart.draws_log_carry).all()
        assert (kept.balls, kept.tracks, kept.answer.advice) == (fresh.balls, fresh.tracks, fresh.answer.advice)
        assert len(list((walk.folder / "answers").glob("*.npz"))) == 1
        assert verdicts(store, ["Ada Quill", "Nobody Known"]) == {"Ada Quill": "holds"}

        ball = store.kept_balls(1)[0]
        store.leave_out(ball.id, "a slip")
        assert verdicts(store, ["Ada Quill"]) == {}
        fewer = standing_chart(store, "Ada Quill")
        assert fewer is not None
        assert fewer.answer.mishits.charted == fresh.answer.mishits.charted - 1

        for path in (walk.folder / "answers").iterdir():
            path.write_bytes(path.read_bytes()[:100])
        kept_charts._recent.clear()
        again = standing_chart(store, "Ada Quill")
        assert again is not None
        assert again.chart.cells == fewer.chart.cells

        erase(store, "Ada Quill")
        assert list((walk.folder / "answers").iterdir()) == []
