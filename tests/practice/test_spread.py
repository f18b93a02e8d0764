"""Where the spread comes from, on made-up joined data with known shares."""

import numpy as np
import pytest

from threequarter.chart.fit import fit_chart
from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.language import say
from threequarter.practice.spread import ARM_SD_DEG, TEMPO_SD, join, spread_shares


def player(
    rng: np.random.Generator, balls: int, arm: float, tempo: float, strike: float
) -> tuple[list[Ball], list[dict[str, float]]]:
    """Balls of three shots whose variance of log carry has the given parts; measured with the camera's own errors."""
    made, swings = [], []
    for i in range(balls):
        swing, carry = (("waist", 42.0), ("chest", 52.0), ("shoulder", 65.0))[i % 3]
        turned, speed = rng.normal(0, 4.0), rng.normal(0, 0.3)
        log = arm * turned / 4.0 + tempo * speed / 0.3 + strike * rng.normal()
        made.append(Ball(number=i + 1, club="54", swing=swing, loft_deg=54.0, distance_m=carry * float(np.exp(log))))
        swings.append(
            {
                "lead_arm_top_deg": 70 + turned + ARM_SD_DEG * rng.normal(),
                "tempo_ratio": 2.2 + speed + TEMPO_SD * rng.normal(),
            }
        )
    return made, swings


@pytest.mark.slow
def test_nine_in_ten_shares_lie_within_their_interval() -> None:
    held = []
    for seed in range(60):
        rng = np.random.default_rng(seed)
        parts = np.array([rng.uniform(0.015, 0.05), rng.uniform(0.005, 0.03), rng.uniform(0.02, 0.045)])
        balls, swings = player(rng, 60, *parts)
        found = spread_shares(fit_chart(balls), join(balls, swings))
        true = parts**2 / (parts**2).sum()
        held += [
            share.share90.low <= value <= share.share90.high for share, value in zip(found.shares, true, strict=True)
        ]
    assert 0.82 <= np.mean(held) <= 0.97


def test_shares_add_up_and_name_what_to_work_on() -> None:
    balls, swings = player(np.random.default_rng(1), 90, 0.07, 0.005, 0.02)
    found = spread_shares(fit_chart(balls), join(balls, swings))
    assert sum(share.share for share in found.shares) == pytest.approx(1.0, abs=0.1)
    assert "Swing length explains" in say(found.messages[0])
    assert say(found.messages[1]) == "Work on swing length first."


def test_too_few_clips_are_said_plainly() -> None:
    balls, swings = player(np.random.default_rng(1), 9, 0.06, 0.005, 0.02)
    found = spread_shares(fit_chart(balls), join(balls, swings))
    assert found.shares == ()
    assert "Too few" in say(found.messages[0])


def test_clips_of_other_balls_are_refused() -> None:
    balls, swings = player(np.random.default_rng(1), 12, 0.03, 0.01, 0.02)
    with pytest.raises(UserError, match=r"counts_differ\(balls=12, swings=11\)"):
        join(balls, swings[:-1])
    named = [{**swing, "ball": i + 1} for i, swing in enumerate(swings[:5])]
    assert len(join(balls, named)) == 5
