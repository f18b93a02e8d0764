"""Two filmed swings of a player, one of the first day with a film and one of the last: before and after."""

import datetime
import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from threequarter.app.lessons import session_swings
from threequarter.store.results import SessionInfo
from threequarter.store.store import Store
from threequarter.swing.words import Match, match


@dataclass(frozen=True, slots=True, kw_only=True)
class Filmed:
    """A swing of a clip: lead arm at the top and at the finish in degrees, tempo (None where not seen), whether through matched back."""

    day: datetime.date
    clip: int
    number: int
    back_deg: float
    through_deg: float
    tempo: float | None
    matched: Match


@dataclass(frozen=True, slots=True, kw_only=True)
class ThenAndNow:
    """The two swings that went back most alike, so that the rest is compared fairly."""

    then: Filmed
    now: Filmed


def then_and_now(store: Store, sessions: Sequence[SessionInfo]) -> ThenAndNow | None:
    """The two swings; None where there are films of one day only."""
    filmed: dict[datetime.date, list[Filmed]] = {}
    for info in sessions:
        for seen in session_swings(store, info.id)[0]:
            if found := _filmed(info.held_on, seen.clip.id, seen.number, seen.swing):
                filmed.setdefault(info.held_on, []).append(found)
    if len(filmed) < 2:
        return None
    first, last = filmed[min(filmed)], filmed[max(filmed)]
    then, now = min(itertools.product(first, last), key=lambda pair: abs(pair[0].back_deg - pair[1].back_deg))
    return ThenAndNow(then=then, now=now)


def _filmed(day: datetime.date, clip: int, number: int, swing: Mapping[str, Any]) -> Filmed | None:
    back, through = swing.get("lead_arm_top_deg"), swing.get("lead_arm_finish_deg")
    if back is None or through is None:
        return None
    return Filmed(
        day=day,
        clip=clip,
        number=number,
        back_deg=float(back),
        through_deg=float(through),
        tempo=swing.get("tempo_ratio"),
        matched=match(swing),
    )
