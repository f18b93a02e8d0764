"""Reference values for the statistics underneath, source beside each."""

import numpy as np
import pytest
from benchmarks.worlds.old import coverage

from threequarter.chart.fit import fit_chart
from threequarter.chart.posterior import infer
from threequarter.chart.prepare import prepare
from threequarter.golf.ball import Ball


def test_a_binomial_interval_agrees_with_the_published_example() -> None:
    """Reference: Newcombe 1998, Stat. Med. 17, 857-872, table I, method 3 (Wilson): 81 of 263 at 95 % is 0.2553-0.3662."""
    from statsmodels.stats.proportion import proportion_confint

    values = np.array([1.0] * 81 + [0.0] * 182)
    low, high = proportion_confint(81, 263, alpha=0.10, method="wilson")
    assert coverage(values)[1:] == pytest.approx((100 * low, 100 * high), abs=0.02)
    assert proportion_confint(81, 263, alpha=0.05, method="wilson") == pytest.approx((0.2553, 0.3662), abs=5e-5)


def test_with_many_clean_balls_the_posterior_is_the_sample_mean() -> None:
    """Independent: the classical standard error of a mean, where balls outweigh every prior."""
    rng = np.random.default_rng(0)
    log_carry = np.log(50) + 0.05 * rng.normal(size=400)
    balls = [
        Ball(number=i, club="54", loft_deg=54.0, swing="waist", distance_m=float(np.exp(v)), rounding_m=0.0)
        for i, v in enumerate(log_carry, 1)
    ]
    cell = fit_chart(balls, warm=True).cells[0]
    assert np.log(cell.stock_carry_m) == pytest.approx(log_carry.mean(), abs=0.003)
    assert cell.stock90_m.half / cell.stock_carry_m / 1.645 == pytest.approx(0.05 / 20, rel=0.3)


@pytest.mark.filterwarnings("ignore")  # the other library warns of its own singular start
def test_a_balanced_case_agrees_with_a_mixed_model() -> None:
    """Independent: statsmodels MixedLM, clubs as groups; 5 clubs x 2 swings x 24 clean balls, in mixed order so that a drift
    can be told from the lofts."""
    import pandas as pd
    import statsmodels.formula.api as smf

    rng = np.random.default_rng(6)
    rows = []
    for club in (46, 50, 54, 58, 62):
        rest = rng.normal(0, 0.015)
        for swing, reach in (("waist", 0.5), ("full", 1.0)):
            for _ in range(24):
                value = np.log(80 * reach) - 0.03 * (club - 54) + rest + 0.05 * rng.normal()
                rows.append((club, swing, value))
    rows = [rows[i] for i in rng.permutation(len(rows))]
    frame = pd.DataFrame(rows, columns=["club", "swing", "y"])
    model = smf.mixedlm("y ~ C(swing) + club", frame, groups=frame["club"]).fit(reml=True)
    fitted = frame.assign(fit=model.fittedvalues).groupby(["club", "swing"])["fit"].mean()
    balls = [
        Ball(number=i, club=str(c), loft_deg=float(c), swing=s, distance_m=float(np.exp(v)), rounding_m=0.0)
        for i, (c, s, v) in enumerate(rows, start=1)
    ]
    readings = prepare(balls)
    posterior = infer(readings)
    ours = posterior.centre.mean(axis=0)
    for i, name in enumerate(readings.names):
        assert ours[i] == pytest.approx(fitted[int(name.club), name.swing], abs=0.02)
