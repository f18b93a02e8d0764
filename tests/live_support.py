"""What a phone would hold of a rendered clip: its points at thirty pictures a second, and how loud the range was."""

import json
from pathlib import Path

import numpy as np

from threequarter.swing.keep import load_track
from threequarter.swing.live import LiveSeen

CLIPS = Path(__file__).parent / "data" / "swings"
FLOOR_DB, BANG_DB = -60.0, 35.0
PHONE_S = 5000.0
"""The page's clock, far from zero."""


def truth(name: str) -> dict[str, float]:
    """The first swing of a clip as it was."""
    told: dict[str, float] = json.loads((CLIPS / f"{name}.json").read_text())["swings"][0]
    return told


def seen(name: str, bangs: tuple[tuple[float, float], ...] = ()) -> LiveSeen:
    """What a phone would hold of a clip: its points at thirty pictures a second, and a quiet range with bangs (seconds of the clip
    at the microphone, decibels over the floor)."""
    told = truth(name)
    stretch = load_track(CLIPS / "tracks" / f"{name}.npz").stretches[0]
    near = (stretch.time_s > told["t_takeaway_s"] - 1.0) & (stretch.time_s < told["t_finish_s"] + 0.5)
    step = max(1, round(1 / 30 / float(np.median(np.diff(stretch.time_s)))))
    kept = np.flatnonzero(near)[::step]
    time = stretch.time_s[kept]
    size = json.loads((CLIPS / f"{name}.json").read_text())["size"]
    loud = np.full(round((time[-1] - time[0] + 1) * 1000), FLOOR_DB)
    for at, db in bangs:
        k = round((at - (time[0] - 0.5)) * 1000)
        loud[k : k + 12] = FLOOR_DB + db
    return LiveSeen(
        time_s=time + PHONE_S,
        points=stretch.points[kept],
        visibility=stretch.visibility[kept],
        world=stretch.world[kept],
        width=size[0],
        height=size[1],
        light=90.0,
        sound_s=time[0] - 0.5 + PHONE_S,
        loud_db=loud,
    )


def heard(name: str, db: float = BANG_DB) -> LiveSeen:
    """The same with the player's ball, whose sound needs a hundredth of a second."""
    return seen(name, ((truth(name)["t_impact_s"] + 0.01, db),))


def down(name: str) -> float:
    """When its hands were fast, on the page's clock."""
    return truth(name)["t_impact_s"] + PHONE_S
