"""A swing seen live: the body points that a browser's models found in the last seconds, as the track that is measured.

Points, times and loudness are all that comes; pictures and sound stay where they were taken. What only a picture tells (lines of the
background, other people, a ball on the ground, sharpness) is not known here, and the doubt says so where it counts.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.swing.check import SwingCheck, check
from threequarter.swing.pose import L_ANKLE, NOSE, R_ANKLE
from threequarter.swing.sound import STEP_S, bangs_of
from threequarter.swing.strike import NEAR_S
from threequarter.swing.track import Looks, Seen, Stretch, Track

Floats = NDArray[np.float64]

NOSE_TO_ANKLES: Final = 0.88
"""Of a body's height."""
QUIETER_DB: Final = 12.0
"""A bang so much quieter than the player's own strikes were is a neighbour's: a strike 3.5 m away stands 12 dB over one 14 m away
(spherical spreading)."""
LOOSE_S: Final = 0.35
"""Until it is known how far sound and picture of a device lie apart, a bang that is CLEAR_DB over the floor may be so far from the arm's
impact: on a busy machine a browser's two clocks were 0.2 s apart (benchmarks/live_range.py)."""
CLEAR_DB: Final = 25.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LiveSeen:
    """The last seconds: `time_s` (n,), `points` (n, 33, 2) pixels, `visibility` (n, 33) 0..1, `world` (n, 33, 3) metres, size of the
    picture, its brightness (0 to 255), loudness a millisecond from `sound_s` on in decibels (m,), empty without a microphone, and how
    loud the player's own strikes were before (decibels over the floor, None for none)."""

    time_s: Floats
    points: Floats
    visibility: Floats
    world: Floats
    width: int
    height: int
    light: float
    sound_s: float
    loud_db: Floats
    own_db: float | None = None


def track_of(live: LiveSeen) -> Track:
    """The track of what was seen; bangs are counted where they may be the player's own."""
    bangs = bangs_of(live.sound_s, 10 ** (live.loud_db / 10)) if len(live.loud_db) else ()
    least = -np.inf if live.own_db is None else live.own_db - QUIETER_DB
    nose, ankles = live.points[:, NOSE, 1], live.points[:, [L_ANKLE, R_ANKLE], 1].max(1)
    tall = (ankles - nose) / NOSE_TO_ANKLES / live.height
    ends = live.points[:, [NOSE, L_ANKLE, R_ANKLE]]
    inside = ((ends > 0) & (ends < np.array([live.width, live.height]) - 1)).all(axis=(1, 2))
    step = float(np.median(np.diff(live.time_s))) if len(live.time_s) > 2 else 0.0
    seen = Seen(
        width=live.width,
        height=live.height,
        looks=len(live.time_s),
        with_player=len(live.time_s),
        light=[live.light],
        tall_share=[float(v) for v in tall],
        cut_off=int((~inside).sum()),
    )
    # looked at mirrored and plain in turn: the mean with the picture before is free of the model's left-right habit
    world = (live.world + np.concatenate([live.world[:1], live.world[:-1]])) / 2
    stretch = Stretch(time_s=live.time_s, points=live.points, visibility=live.visibility, world=world)
    return Track(
        stretches=(stretch,),
        frames_per_s=1 / step if step > 0 else 0.0,
        duration_s=float(np.ptp(live.time_s)) if len(live.time_s) else 0.0,
        seen=seen,
        looks=Looks(
            time_s=live.time_s,
            points=live.points,
            visibility=live.visibility,
            world=world,
            roi=np.zeros((len(live.time_s), 3)),
        ),
        start_s=float(live.time_s[0]) if len(live.time_s) else 0.0,
        bangs=tuple((at, db) for at, db in bangs if db >= least),
        heard=len(live.loud_db) > 2 * round(0.25 / STEP_S),
    )


def check_live(live: LiveSeen) -> tuple[Track, SwingCheck]:
    """The swings of the last seconds, in true time: a live picture is never slow motion."""
    seen = track_of(live)
    return seen, check(seen, slower=1.0)


def own_strike(track: Track, impact_s: float, lag_s: float | None) -> tuple[float, float] | None:
    """How far the bang of the ball lies from the arm's impact (seconds) and how loud it was; None where none is near. `lag_s` is how
    far the two lay apart at the player's last balls, None where that is not known yet."""
    offs = [(db, at - impact_s) for at, db in track.bangs]
    near = [
        (db, off)
        for db, off in offs
        if abs(off - (lag_s or 0.0)) <= NEAR_S or (lag_s is None and abs(off) <= LOOSE_S and db >= CLEAR_DB)
    ]
    if not near:
        return None
    db, off = max(near)
    return off, db
