"""Writes the tracks of the open clips for fast tests: what was seen, without the joints that nothing measures.

    python scripts/keep_tracks.py [tests/data/swings/tracks]

Run it after a change of how clips are looked at; a slow test compares one of them with a fresh look.
"""

import sys
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np

from threequarter.swing.keep import save_track
from threequarter.swing.track import Looks, Stretch, Track, track

CLIPS: Final = Path(__file__).parents[1] / "tests" / "data" / "swings"
USED: Final = (0, 11, 12, 15, 16, 23, 24, 27, 28)


def lean(seen: Track) -> Track:
    """The same track without unused joints."""
    stretches = tuple(
        replace(s, points=_used(s.points), visibility=_used(s.visibility), world=_used(s.world)) for s in seen.stretches
    )
    looks = seen.looks
    thin = Looks(
        time_s=looks.time_s,
        points=_used(looks.points),
        visibility=_used(looks.visibility),
        world=_used(looks.world),
        roi=looks.roi,
    )
    return replace(seen, stretches=tuple(_ground(s) for s in stretches), looks=thin)


def _used(values: np.ndarray) -> np.ndarray:
    kept = np.zeros_like(values)
    kept[:, USED] = np.round(values[:, USED], 3)
    return kept


def _ground(stretch: Stretch) -> Stretch:
    """Every other picture of the ground."""
    return replace(stretch, ground_s=stretch.ground_s[::2], ground=stretch.ground[::2])


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else CLIPS / "tracks"
    folder.mkdir(exist_ok=True)
    for clip in sorted(CLIPS.glob("*.mp4")):
        save_track(lean(track(clip)), folder / f"{clip.stem}.npz")
        print(clip.stem, (folder / f"{clip.stem}.npz").stat().st_size // 1024, "kB")


if __name__ == "__main__":
    main()
