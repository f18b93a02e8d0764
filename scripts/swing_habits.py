"""The pose model's own habits on the open clips: fits the constants of `swing/measure.py` and `swing/camera.py`.

    python scripts/swing_habits.py [tests/data/swings]

Lines from reading to truth for the arm at top and finish, shifts of hand height, and how turned a square player seems; each also with
one clip left out in turn, which is what another body may expect. It reads the tracks that `scripts/keep_tracks.py` keeps.
"""

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Final

import numpy as np

from threequarter.swing.camera import AZIMUTH_TIMES, SEEMS_TURNED_DEG
from threequarter.swing.check import check
from threequarter.swing.keep import load_track
from threequarter.swing.measure import FINISH_LINE, FINISH_LOW, TOP_LINE

CLIPS: Final = Path(__file__).parents[1] / "tests" / "data" / "swings"
Pairs = list[tuple[str, float, float]]


def gathered(folder: Path) -> dict[str, Pairs]:
    """(clip, reading before the constant, truth) by measure."""
    found: dict[str, Pairs] = {"top": [], "finish": [], "height top": [], "height finish": [], "azimuth": []}
    for kept in sorted((folder / "tracks").glob("*.npz")):
        truth, seen = json.loads((folder / f"{kept.stem}.json").read_text()), check(load_track(kept))
        for swing, true in zip(seen.swings, truth["swings"], strict=True):
            read = (swing.lead_arm_top_deg - TOP_LINE[1]) / TOP_LINE[0]
            found["top"].append((kept.stem, read, true["lead_arm_top_deg"]))
            if swing.lead_arm_finish_deg is not None and swing.hand_height_finish is not None:
                read = (swing.lead_arm_finish_deg - FINISH_LINE[1]) / FINISH_LINE[0]
                found["finish"].append((kept.stem, read, true["lead_arm_finish_deg"]))
                found["height finish"].append(
                    (kept.stem, swing.hand_height_finish - FINISH_LOW, true["hand_height_finish"])
                )
            found["height top"].append((kept.stem, swing.hand_height_top, true["hand_height_top"]))
        if seen.camera_deg is not None:
            turned = seen.camera_deg / AZIMUTH_TIMES + SEEMS_TURNED_DEG
            found["azimuth"].append((kept.stem, turned, truth["camera"]["azimuth_deg"]))
    return found


def line(pairs: Pairs) -> Callable[[float], float]:
    slope, shift = np.polyfit([read for _, read, _ in pairs], [true for _, _, true in pairs], 1)
    return lambda read: float(slope * read + shift)


def shifted(pairs: Pairs) -> Callable[[float], float]:
    shift = float(np.median([true - read for _, read, true in pairs]))
    return lambda read: read + shift


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else CLIPS
    for name, pairs in gathered(folder).items():
        rule = shifted if name.startswith("height") else line
        fitted = rule(pairs)
        left = [abs(rule([p for p in pairs if p[0] != clip])(read) - true) for clip, read, true in pairs]
        print(
            f"{name:14s} n {len(pairs):2d}: truth = {fitted(1.0) - fitted(0.0):.3f} x reading {fitted(0.0):+.3f}; "
            f"one clip left out: median {np.median(left):.3f}, worst {max(left):.3f}"
        )


if __name__ == "__main__":
    main()
