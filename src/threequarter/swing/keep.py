"""A track in a file and back, so that a corrected clip need not be looked at again."""

import json
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any, Final

import numpy as np

from threequarter.swing.track import NO_LOOKS, Looks, Seen, Stretch, Track

SMALL: Final = ("points", "visibility", "world", "sharp")
"""Kept as 32 bit floats: a thousandth of a pixel."""


def save_track(track: Track, path: Path) -> None:
    """Writes a track (NumPy's own format, no pickles)."""
    arrays: dict[str, Any] = {}
    for i, stretch in enumerate(track.stretches):
        arrays |= {f"{field.name}_{i}": _small(field.name, getattr(stretch, field.name)) for field in fields(Stretch)}
    arrays |= {f"look_{field.name}": _small(field.name, getattr(track.looks, field.name)) for field in fields(Looks)}
    head = {
        field.name: getattr(track, field.name)
        for field in fields(Track)
        if field.name not in ("stretches", "looks", "seen")
    }
    head |= {"stretches": len(track.stretches), "seen": asdict(track.seen)}
    with path.open("wb") as file:
        np.savez_compressed(file, head=np.array(json.dumps(head)), **arrays)


def load_track(path: Path) -> Track:
    """The track that was saved, also by an older release. Raises OSError or ValueError where there is none."""
    with np.load(path, allow_pickle=False) as kept:
        head = json.loads(str(kept["head"]))
        stretches = tuple(
            Stretch(**{f.name: _large(kept[f"{f.name}_{i}"]) for f in fields(Stretch) if f"{f.name}_{i}" in kept})
            for i in range(head.pop("stretches"))
        )
        looks = NO_LOOKS
        if "look_time_s" in kept:
            looks = Looks(**{f.name: _large(kept[f"look_{f.name}"]) for f in fields(Looks)})
        known = {field.name for field in fields(Seen)}
        seen = Seen(**{name: value for name, value in head.pop("seen").items() if name in known})
    head["bangs"] = tuple((at, loud) for at, loud in head.get("bangs", ()))
    return Track(stretches=stretches, looks=looks, seen=seen, **head)


def _small(name: str, values: Any) -> Any:
    return values.astype(np.float32) if name in SMALL else values


def _large(values: Any) -> Any:
    return values.astype(np.float64) if values.dtype == np.float32 else values
