"""Strike and swing in one story: what differs between a player's own good swings and those of the fat, thin or heavy balls."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from threequarter.golf.message import Message
from threequarter.swing.words import match

Floats = NDArray[np.float64]
GOOD: Final = "good"
BAD: Final = ("fat", "thin", "heavy")
LEAST: Final = 3
"""Of fewer swings on either side nothing is told."""
SURE: Final = 0.1
MEASURES: Final = ("match_deg", "lead_arm_top_deg", "tempo_ratio", "impact_over_peak")
DRILLS: Final = {"fat": "swing.drill_line", "heavy": "swing.drill_line", "thin": "swing.drill_tee"}
"""One drill with a pass mark; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """How one measure of the bad swings lies against the good ones: bad less good, with the half-width of its interval."""

    kind: str
    measure: str
    by: float
    half_width: float
    bad: int
    good: int

    @property
    def told(self) -> bool:
        """Whether it is more than chance, also among so many measures that were looked at."""
        return abs(self.by) > self.half_width


def differences(
    swings: Sequence[Mapping[str, Any]], strikes: Sequence[str | None], shots: Sequence[str] = ()
) -> tuple[Difference, ...]:
    """Every measure of every kind of bad strike against the good ones of the same shot (`shots`: the length that was meant; without
    it all are one), the surest first. Welch's t interval (1947), 90 % for all
    measures together (Bonferroni)."""
    from scipy.special import stdtrit

    found = []
    for kind in BAD:
        for name in MEASURES:
            bad, good = (_values(swings, strikes, shots, which, name) for which in (kind, GOOD))
            if min(len(bad), len(good)) < LEAST:
                continue
            parts = [max(float(v.var(ddof=1)), 1e-9) / len(v) for v in (bad, good)]
            df = sum(parts) ** 2 / sum(p**2 / (len(v) - 1) for p, v in zip(parts, (bad, good), strict=True))
            wide = float(stdtrit(df, 1 - SURE / 2 / len(MEASURES))) * sum(parts) ** 0.5
            by = float(bad.mean() - good.mean())
            found.append(Difference(kind=kind, measure=name, by=by, half_width=wide, bad=len(bad), good=len(good)))
    return tuple(sorted(found, key=lambda one: -abs(one.by) / one.half_width))


def _values(
    swings: Sequence[Mapping[str, Any]], strikes: Sequence[str | None], shots: Sequence[str], kind: str, name: str
) -> Floats:
    """A measure of the swings of one kind, less the mean of the good ones of the same shot; without those of shots that were never
    filmed well."""
    names = list(shots) or [""] * len(swings)
    values = [match(swing).by_deg if name == "match_deg" else swing.get(name) for swing in swings]
    found = []
    for shot in sorted(set(names)):
        mine = [
            (v, strike) for v, strike, of in zip(values, strikes, names, strict=True) if of == shot and v is not None
        ]
        good = [v for v, strike in mine if strike == GOOD]
        found += [v - float(np.mean(good)) for v, strike in mine if strike == kind and good]
    return np.array(found, dtype=float)


def story(
    swings: Sequence[Mapping[str, Any]], strikes: Sequence[str | None], shots: Sequence[str] = ()
) -> list[Message]:
    """At most three lines: how many of each, the one difference that can be told (or that none can), one drill with a pass mark.

    `strikes` says of each swing's ball "good", "fat", "thin" or "heavy"; None where it is not known. Nothing where no bad strike was
    filmed.
    """
    counts = Counter(strike for strike in strikes if strike)
    worst = max(BAD, key=lambda kind: counts[kind])
    if not counts[worst]:
        return []
    lines = [
        Message("swing.story_counts", worst=Message(f"swing.strike_{worst}"), bad=counts[worst], good=counts[GOOD])
    ]
    of_worst = [one for one in differences(swings, strikes, shots) if one.kind == worst]
    told = next((one for one in of_worst if one.told), None)
    if told:
        way = "more" if told.by > 0 else "less"
        by = round(abs(told.by)) if told.measure.endswith("deg") else abs(told.by)
        lines.append(
            Message(
                f"swing.story_{told.measure.removesuffix('_deg')}_{way}",
                by_deg=by,
                by_share=by,
                by=by,
                bad=told.bad,
                good=told.good,
            )
        )
    else:
        lines.append(Message("swing.story_none" if of_worst else "swing.story_few"))
    lines.append(Message(DRILLS[worst]))
    return lines
