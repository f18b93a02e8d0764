"""Advice followed, rechecks and shots on the truth: who knows the truth is judged right, and the plain rules do what they are."""

from collections import Counter
from collections.abc import Sequence

import numpy as np
import pytest
from benchmarks.worlds import judge
from benchmarks.worlds.next_days import (
    Asked,
    Name,
    RecheckSaid,
    ShotSaid,
    follow,
    judge_followed,
    judge_recheck,
    judge_shots,
    plain_shift,
    recheck_case,
    shot_case,
)
from benchmarks.worlds.players_truth import Row, Session
from numpy.typing import NDArray

KIND = "nominal_three_clubs"


def _three_of_each(rows: Sequence[Row]) -> Asked | None:
    hit = Counter((row.club, row.swing) for row in rows)
    least = min(sorted(hit), key=lambda name: hit[name])
    return Asked(club=least[0], swing=least[1], balls=2) if hit[least] < 3 else None


def _medians(session: Session, width: float) -> judge.Answer:
    cells = {}
    for name in session.cells:
        stock = float(np.median([r.read_m for r in session.rows if (r.club, r.swing) == name]))
        near = (stock * (1 - width), stock * (1 + width))
        cells[name] = judge.CellAnswer(stock_m=stock, stock90_m=near, next90_m=near)
    return judge.Answer(cells=cells)


def test_advice_is_followed_until_it_stops_or_the_balls_run_out() -> None:
    done = follow(KIND, 0, _three_of_each)
    assert done.stopped
    assert len(done.session.rows) == 3 * 12
    assert all(cell.balls == 3 for cell in done.session.cells.values())
    assert 11 <= done.club_changes <= 35
    endless = follow(KIND, 0, lambda rows: Asked(club="54", swing="full"), most=20)
    assert (endless.stopped, len(endless.session.rows)) == (False, 20)
    assert endless.session.rows[:12] == done.session.rows[:12]


def test_a_wide_interval_holds_at_the_stop_and_a_point_does_not() -> None:
    followed = [follow(KIND, i, _three_of_each) for i in range(4)]
    wide = judge_followed(KIND, followed, [_medians(f.session, 9.0) for f in followed], lambda stock: 9 * stock)
    point = judge_followed(KIND, followed, [_medians(f.session, 0.0) for f in followed], lambda stock: 0.001)
    assert (wide.held, wide.kept, wide.balls[1]) == (1, 1, 36)
    assert (point.held, point.kept) == (0, 0)
    assert wide.rmse_yd == point.rmse_yd > 0


def test_the_same_player_comes_back_as_much_shorter_as_was_said() -> None:
    found = []
    for i in range(12):
        same, shorter = recheck_case(KIND, i, 0.0, balls=24), recheck_case(KIND, i, -0.08, balls=24)
        assert same.old.rows == shorter.old.rows
        ratio = np.log([b.carry_m / a.carry_m for a, b in zip(same.new, shorter.new, strict=True)])
        assert ratio == pytest.approx(np.log(0.92))
        found.append(plain_shift(shorter.old.rows, shorter.new))
    assert np.mean(found) == pytest.approx(-0.08, abs=0.03)


def test_recheck_verdicts_are_counted() -> None:
    def timid(old: Sequence[Row], new: Sequence[Row]) -> RecheckSaid:
        return RecheckSaid(verdict="moved" if plain_shift(old, new) < -0.06 else "not known", shift90=(-0.2, -0.01))

    none, fallen = judge_recheck(KIND, timid, players=10, shifts=(0.0, -0.20), looks=(12,))
    assert none.moved + none.holds + none.not_known == 1
    assert (fallen.moved, fallen.interval_held, none.interval_held) == (1, 1, 0)
    assert fallen.plain_moved == 1


def _strokes(landed: NDArray[np.float64], shot: Name) -> NDArray[np.float64]:
    left: NDArray[np.float64] = np.hypot(landed[:, 0] - 50, landed[:, 1])
    return 1.5 + 0.05 * left


def test_who_knows_the_strokes_loses_none_and_the_longest_shot_loses_some() -> None:
    cases = [shot_case(KIND, i, 50.0, _strokes, balls=500) for i in range(4)]
    truth = {case.session.rows: tuple(sorted(case.true_strokes.items(), key=lambda x: x[1])) for case in cases}
    knows = judge_shots(KIND, cases, lambda rows, to_m: ShotSaid(order=truth[tuple(rows)]))
    assert (knows.lost, knows.first_is_best, knows.best_among_tied) == (0, 1, 1)
    assert knows.said_over_true == pytest.approx(0)
    assert knows.nearest_lost >= 0
    longest = judge_shots(KIND, cases, lambda rows, to_m: ShotSaid(order=((("50", "full"), 2.0),)))
    assert longest.lost > 0.3
    assert longest.lost_of_listed == 0
    silent = judge_shots(KIND, cases, lambda rows, to_m: ShotSaid(order=()))
    assert silent.no_answer == 4
