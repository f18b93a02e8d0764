"""Progress that may be looked at after every ball, and called numbers scored against the player's own spread."""

from itertools import pairwise

import numpy as np
import pytest

from tests_support import chart_by_hand
from threequarter.golf.errors import UserError
from threequarter.practice.call import CalledBall, call_numbers, score_test, target_for
from threequarter.practice.progress import progress, slope_evidence


def test_who_does_not_improve_is_rarely_said_to_at_any_look() -> None:
    rng = np.random.default_rng(2)
    said = [progress(np.abs(rng.normal(size=60)).tolist()).word for _ in range(120)]
    assert said.count("better") <= 0.05 * 120 + 4


def test_who_halves_the_misses_is_seen() -> None:
    rng = np.random.default_rng(2)
    sizes = np.concatenate([np.full(60, 1.5), np.full(90, 0.5)])
    result = progress(np.abs(rng.normal(size=150) * sizes).tolist())
    assert result.word == "better"
    assert result.change < -0.4
    assert result.change90.low < result.change < result.change90.high


def test_few_balls_are_not_known_yet() -> None:
    assert progress([1.0, 0.5, 0.2]).word == "not known yet"


def test_the_evidence_averages_one_for_who_does_not_improve() -> None:
    """An e-value has mean 1 or less under the null (Ville 1939)."""
    rng = np.random.default_rng(4)
    values = [slope_evidence(rng.normal(size=30))[0] for _ in range(3000)]
    assert np.mean(values) < 1.15


def test_a_number_is_called_with_the_shot_that_fits_it_best() -> None:
    target = target_for(chart_by_hand(), 44.0)
    assert (target.club, target.swing) == ("54", "waist")
    with pytest.raises(UserError, match=r"practice\.no_shot"):
        target_for(chart_by_hand(), 140.0)


def test_a_test_is_random_and_mixes_its_shots() -> None:
    targets = call_numbers(chart_by_hand(), 30, np.random.default_rng(1))
    assert len({(t.club, t.swing) for t in targets}) > 1
    assert sum(t.swing != "full" for t in targets) >= 20
    assert all((a.club, a.swing) != (b.club, b.swing) for a, b in pairwise(targets))
    with pytest.raises(UserError, match=r"practice\.no_balls"):
        call_numbers(chart_by_hand(), 0, np.random.default_rng(1))


def test_a_player_who_hits_as_the_chart_says_scores_one() -> None:
    rng = np.random.default_rng(5)
    chart = chart_by_hand()
    held = 0
    for _ in range(150):
        target = target_for(chart, 42.0)
        sd = target.possible_miss_m / np.sqrt(2 / np.pi)
        result = score_test([CalledBall(target=target, ended_m=42.0 + sd * rng.normal()) for _ in range(15)], rng)
        held += result.score90.low <= 1 <= result.score90.high
    assert 0.82 <= held / 150 <= 0.97
    with pytest.raises(UserError, match=r"practice\.not_hit"):
        score_test([], rng)
