"""How each ball was struck, and what speaks against it."""

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.chart import priors
from threequarter.chart.posterior import Posterior
from threequarter.chart.prepare import Readings
from threequarter.chart.result import DOUBTFUL_BELOW, Verdict
from threequarter.chart.strike_signs import launch_factors, side_factors
from threequarter.golf.ball import Ball
from threequarter.golf.message import Message

Floats = NDArray[np.float64]

FAR_OFF: Final = 1.0
"""Spreads from its centre at which a ball is said to be short or long."""
SPEAKS: Final = 0.7
"""Log factor for a mishit from which side or flight is said to speak against a ball (about two to one)."""


def verdicts(readings: Readings, posterior: Posterior, balls: Sequence[Ball]) -> tuple[Verdict, ...]:
    """A verdict for each ball, by number."""
    noted = {ball.number: ball.strike.value for ball in balls if ball.strike}
    kinds = np.array(priors.KINDS)
    by_kind = [posterior.classes[:, 1:][:, kinds == kind].sum(1).tolist() for kind in ("fat", "thin", "toe")]
    good = posterior.classes[:, 0].tolist()
    reasons = list(_reasons(readings, posterior))
    rows = zip(readings.numbers, good, *by_kind, readings.heavy.tolist(), reasons, strict=True)
    told = [
        Verdict(number=number, good=g, fat=fat, thin=thin, toe=toe, heavy=heavy, noted=noted.get(number), why=why)
        for numbers, g, fat, thin, toe, heavy, why in rows
        for number in numbers
    ]
    return tuple(sorted(told, key=lambda verdict: verdict.number))


def _reasons(readings: Readings, posterior: Posterior) -> Iterator[tuple[Message, ...]]:
    """What speaks against each reading; nothing where it is good."""
    doubtful = posterior.classes[:, 0] < DOUBTFUL_BELOW
    centre, spread = posterior.centre.mean(axis=0), np.exp(posterior.log_sd.mean(axis=0))
    usual = np.exp(centre[readings.cell] + posterior.shift)
    off = readings.log_carry - np.log(usual)
    aside, flight = _speaking(side_factors(readings)), _speaking(launch_factors(readings))
    for i in range(len(off)):
        if not doubtful[i]:
            yield ()
            continue
        why = []
        gap = float(np.exp(readings.log_carry[i]) - usual[i])
        if abs(off[i]) > FAR_OFF * spread[readings.cell[i]]:
            why.append(Message("chart.why.short" if gap < 0 else "chart.why.long", by_m=abs(gap)))
        if aside[i] > SPEAKS:
            why.append(
                Message("chart.why.side", side_m=abs(float(readings.side[i])) * float(np.exp(readings.log_carry[i])))
            )
        if flight[i] > SPEAKS:
            why.append(Message("chart.why.flight"))
        yield tuple(why)


def _speaking(factor: Floats) -> Floats:
    """Log odds (n,) for a mishit against a good strike that one sign gives."""
    bad = np.log(np.exp(factor[:, 1:]) @ priors.KIND_SHARE)
    return np.asarray(bad - factor[:, 0])
