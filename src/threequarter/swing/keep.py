"""A track in a file and back, so that a corrected clip need not be looked at again."""

import json
from dataclasses import asdict
from pathlib import Path

import numpy as np

from threequarter.swing.track import Seen, Stretch, Track


def save_track(track: Track, path: Path) -> None:
    """Writes a track (NumPy's own format, no pickles)."""
    seen = {name: value for name, value in asdict(track.seen).items() if name != "worlds"}
    arrays = {
        f"{name}_{i}": getattr(s, name)
        for i, s in enumerate(track.stretches)
        for name in ("time_s", "points", "visibility", "world")
    }
    arrays["worlds"] = np.array(track.seen.worlds)
    head = {
        "stretches": len(track.stretches),
        "frames_per_s": track.frames_per_s,
        "duration_s": track.duration_s,
        "seen": seen,
    }
    with path.open("wb") as file:
        np.savez_compressed(file, head=np.array(json.dumps(head)), **arrays)


def load_track(path: Path) -> Track:
    """The track that was saved. Raises OSError or ValueError where there is none."""
    with np.load(path, allow_pickle=False) as kept:
        head = json.loads(str(kept["head"]))
        stretches = tuple(
            Stretch(**{name: kept[f"{name}_{i}"] for name in ("time_s", "points", "visibility", "world")})
            for i in range(head["stretches"])
        )
        seen = Seen(**head["seen"], worlds=list(kept["worlds"]))
    return Track(stretches=stretches, frames_per_s=head["frames_per_s"], duration_s=head["duration_s"], seen=seen)
