"""Fits the error model of the swing check (`swing/doubt.py`, TABLE) on hard copies of the open clips, and shows what it holds.

    python benchmarks/swing_copies.py FOLDER          # the copies with their truth
    python scripts/swing_fit.py FOLDER                # looks at each once (FOLDER/*.npz), fits, prints the table

Each field's half-width is exp(a + b . x) over how the swing was filmed. Errors over it are taken for Student's t with four degrees
of freedom; b is held to 0 or more, so that worse filming never narrows; then a is set so that nine in ten of the errors lie inside
when a body's clips are left out in turn. It also prints the middle error of the fields with a habit of their own
(`swing/measure.py`, `swing/camera.py`), for their constants.
"""

import argparse
import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

import numpy as np
from scipy.optimize import minimize

from threequarter.swing.answer import measured
from threequarter.swing.check import SwingCheck, check, look, quality_of
from threequarter.swing.decode import frame_times, probe
from threequarter.swing.doubt import FEATURES, HEIGHT_A_DEGREE, TABLE, USUAL_ROLL90_DEG, VIEW_WIDENS, features
from threequarter.swing.keep import load_track, save_track
from threequarter.swing.track import Track, bits_per_pixel

TRUE: Final = {"t_takeaway_s": "t_takeaway_1deg_s", "tempo_ratio": "tempo_ratio_1deg"}
NEAR_S: Final = 0.4
SHRINK: Final = 1.0
"""How strongly b is held near 0: some hundred swings of eight bodies do not tell much about seven numbers."""
FLOOR: Final = 0.9
LEAST: Final[dict[str, float]] = {
    "t_takeaway_s": 0.02,
    "t_top_s": 0.012,
    "t_impact_s": 0.008,
    "t_finish_s": 0.03,
    "lead_arm_top_deg": 2.2,
    "lead_arm_finish_deg": 2.6,
    "match_deg": 3.2,
    "hand_height_top": 0.035,
    "hand_height_finish": 0.045,
    "tempo_ratio": 0.06,
    "impact_over_peak": 0.02,
}
"""No half-width of a well filmed swing is smaller: other bodies than these eight have other habits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One error of one field: how large, what it hangs on, what is known of it otherwise (roll, view), whose body."""

    name: str
    error: float
    x: tuple[float, ...]
    body: str
    condition: str
    beside: float


def tracks(folder: Path) -> Iterator[tuple[str, Track, dict[str, Any]]]:
    """Each copy with its truth; it is looked at where no track is kept yet."""
    for clip in sorted(folder.glob("*.mp4")):
        kept = clip.with_suffix(".npz")
        if not kept.exists():
            save_track(look(clip)[0], kept)
        yield clip.stem, _sized(load_track(kept), clip), json.loads(clip.with_suffix(".json").read_text())


def _sized(seen: Track, clip: Path) -> Track:
    if seen.bits_per_pixel is not None:
        return seen
    info = probe(clip)
    return replace(seen, bits_per_pixel=bits_per_pixel(clip, len(frame_times(clip)), info.width * info.height))


def pairs(found: SwingCheck, truth: dict[str, Any]) -> Iterator[tuple[int, dict[str, Any]]]:
    for true in truth["swings"]:
        slower = truth.get("slower", 1.0)
        near = [(abs(s.t_impact_s - true["t_impact_s"]), i) for i, s in enumerate(found.swings)]
        if near and min(near)[0] < NEAR_S * slower:
            yield min(near)[1], true


def rows_of(name: str, seen: Track, truth: dict[str, Any]) -> list[Row]:
    """The errors of every field of the swings that were found."""
    found = check(seen)
    answer = measured(found)
    condition, body = name.split("__")
    rows = []
    for i, true in pairs(found, truth):
        swing, told = found.swings[i], answer["swings"][i]
        quality = quality_of(seen, found.stretch_of[i], swing, found.view)
        for field in TABLE:
            error = _error(field, told, true, swing.slower)
            if error is None:
                continue
            hidden = {"top": swing.seen_top, "finish": swing.seen_finish}
            visible = min((v for k, v in hidden.items() if k in field or field == "match_deg"), default=1.0)
            rows.append(
                Row(
                    name=field,
                    error=error,
                    x=features(quality, visible),
                    body=body,
                    condition=condition,
                    beside=_beside(field, found),
                )
            )
    return rows


def _error(field: str, told: dict[str, Any], true: dict[str, Any], slower: float) -> float | None:
    if field == "match_deg":
        names = ("lead_arm_top_square_deg", "lead_arm_finish_square_deg")
        ours, theirs = [told[n] for n in names], [true[n] for n in names]
        return None if None in (*ours, *theirs) else (ours[1] - ours[0]) - (theirs[1] - theirs[0])
    ours, theirs = told[field], true[TRUE.get(field, field)]
    if ours is None or theirs is None:
        return None
    error = ours - theirs
    return float(error / theirs if field == "tempo_ratio" else error / slower if field.startswith("t_") else error)


def _beside(field: str, found: SwingCheck) -> float:
    """What roll and view add to a field's half-width whatever the picture (swing/doubt.py)."""
    rolled = max(0.0, found.view.roll90_deg**2 - USUAL_ROLL90_DEG**2) ** 0.5
    if field.startswith("hand_height"):
        return HEIGHT_A_DEGREE * rolled
    if not field.startswith(("lead_arm", "match")):
        return 0.0
    beyond = VIEW_WIDENS * max(0.0, abs(found.camera_deg or 0.0) - 15.0)
    return float((2 if field == "match_deg" else 1) * np.hypot(rolled, beyond))


def fit(rows: list[Row]) -> tuple[float, np.ndarray]:
    """a and b of one field: most probable under Student's t with four degrees of freedom."""
    x, y = np.array([row.x for row in rows]), np.array([row.error for row in rows])
    start = np.log(max(float(np.median(np.abs(y))), 1e-4))

    def loss(p: np.ndarray) -> float:
        scale = np.exp(p[0] + x @ p[1:])
        return float(np.sum(np.log(scale) + 2.5 * np.log1p((y / scale) ** 2 / 4)) + SHRINK * np.sum(p[1:] ** 2))

    bounds = [(None, None)] + [(0.0, 6.0)] * x.shape[1]
    best = minimize(loss, np.r_[start, np.full(x.shape[1], 0.1)], method="L-BFGS-B", bounds=bounds)
    return float(best.x[0]), np.asarray(best.x[1:])


def widths(rows: list[Row], a: float, b: np.ndarray) -> np.ndarray:
    return np.array([np.hypot(np.exp(a + np.dot(row.x, b)), row.beside) for row in rows])


def fitted(rows: list[Row]) -> tuple[float, np.ndarray, float]:
    """a and b, a set by bodies left out in turn; and what share then holds."""
    left_out = []
    for body in sorted({row.body for row in rows}):
        rest, mine = [r for r in rows if r.body != body], [r for r in rows if r.body == body]
        a, b = fit(rest)
        left_out += list(np.abs([r.error for r in mine]) / widths(mine, a, b))
    times = float(np.quantile(left_out, 0.9))
    a, b = fit(rows)
    a = max(a + np.log(times), np.log(LEAST[rows[0].name]))
    held = float(np.mean(np.abs([r.error for r in rows]) <= widths(rows, a, b)))
    return a, b, held


def square_adds(folder: Path, end: str) -> float:
    """What must be added to the arm's half-width so that nine in ten of the square angles hold (swing/doubt.py, SQUARE90_DEG)."""
    short = []
    for _name, seen, truth in tracks(folder):
        found = check(seen)
        answer = measured(found)
        for i, true in pairs(found, truth):
            ours, theirs = answer["swings"][i][f"lead_arm_{end}_square_deg"], true[f"lead_arm_{end}_square_deg"]
            if ours is not None and theirs is not None:
                width = answer["swings"][i]["doubt90"][f"lead_arm_{end}_deg"]
                short.append(max(0.0, (ours - theirs) ** 2 - width**2) ** 0.5)
    return float(np.quantile(short, 0.9))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    folder = parser.parse_args().folder
    every = [row for name, seen, truth in tracks(folder) for row in rows_of(name, seen, truth)]
    print("FEATURES", FEATURES)
    table = {}
    for field in TABLE:
        rows = [row for row in every if row.name == field]
        a, b, held = fitted(rows)
        table[field] = (a, b)
        middle = float(np.median([row.error for row in rows]))
        print(
            f'    "{field}": ({a:.2f}, ({", ".join(f"{v:.2f}" for v in b)})),  # n {len(rows)}, middle error {middle:+.3f}, holds {held:.0%}'
        )
    for end in ("top", "finish"):
        print(f"square at the {end} adds {square_adds(folder, end):.1f} degrees")
    print("\nby condition: share that holds, of how many")
    for condition in sorted({row.condition for row in every}):
        rows = [row for row in every if row.condition == condition]
        inside = [abs(r.error) <= widths([r], *table[r.name])[0] for r in rows]
        print(f"  {condition:10s} {np.mean(inside):.0%} of {len(rows)}")


if __name__ == "__main__":
    main()
