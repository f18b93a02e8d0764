"""How far each measure of a swing may be off: half-widths that hold nine times in ten, from how the swing was filmed.

A field's half-width is exp(a + b . x) over what the film shows (`features`), and what roll and view of the camera add. Fitted by
`scripts/swing_fit.py` on hard copies of the open clips (`benchmarks/swing_copies.py`), which are rendered: on real footage they
are a lower bound until somebody measures their own clips (`threequarter swing --compare`).
"""

from dataclasses import dataclass
from math import exp, hypot, log
from typing import Final

from threequarter.swing.measure import INSTANTS, Swing

WELL_SEEN: Final = 0.75
LEAST_SEEN: Final = 0.25
"""Below this no measure that hangs on the hands is given."""
LEAST_SEEN_DOWN: Final = 0.75
"""Hands that motion blur hides on the way down: their speed is not given (scripts/swing_fit.py: it reads 20 to 50 % low)."""
HIDDEN_IMPACT_S: Final = 0.2
"""Nor is it known when the arm came to the ball, but for the sound: blur over three pictures put it 0.16 s late once
(benchmarks/swings_by_others.py); the way down takes 0.3 s."""
CROWDED_TIMES: Final = 1.6
"""Somebody else in view during the swing: the points may have jumped unnoticed. Common practice, no source."""
EXCHANGED_TIMES: Final = 3.0
"""The model took the player for one seen from behind: a drawn left-hander's errors were up to so many of the usual half-widths, one in
twelve more (benchmarks/swings_by_others.py)."""
VIEW_WIDENS: Final = 0.35
"""Degrees of the arm for a degree of view beyond 15: the depth of the hands before the chest is known to a third."""
WIDENED_DEG: Final = 15.0
SQUARE90_DEG: Final = {"top": 0.5, "finish": 2.8}
"""What setting the arm square adds: how far the hands are before the chest differs from body to body (scripts/swing_fit.py)."""
SQUARE_TIMES: Final = 0.10
MATCH_TIMES: Final = 0.18
"""Degrees of the square arm, and of its two ends against each other, for a degree of the camera's doubt (camera.py)."""
USUAL_ROLL90_DEG: Final = 2.0
HEIGHT_A_DEGREE: Final = 0.015
"""Hand height for a degree of roll: the hands are up to a torso length to the side of the hips."""
CRUSHED: Final = 0.01
"""A film with fewer bits a pixel than this has lost what it showed: phones spend 0.05 and more (from memory, no source)."""

FEATURES: Final = ("scatter", "hands", "frame", "hidden", "dark", "small", "no_level", "crushed")
TABLE: Final[dict[str, tuple[float, tuple[float, ...]]]] = {
    "t_takeaway_s": (-3.60, (0.48, 0.16, 0.00, 0.00, 0.36, 0.75, 0.00, 0.39)),
    "t_top_s": (-4.05, (0.19, 0.01, 0.16, 0.49, 0.17, 0.20, 0.02, 0.00)),
    "t_impact_s": (-4.83, (0.00, 1.37, 0.00, 0.00, 0.00, 0.73, 0.14, 0.82)),
    "t_finish_s": (-2.85, (0.80, 0.00, 0.32, 0.01, 0.00, 0.33, 0.00, 0.13)),
    "lead_arm_top_deg": (1.03, (0.41, 0.00, 0.50, 0.00, 0.52, 0.03, 0.28, 0.28)),
    "lead_arm_finish_deg": (1.20, (0.11, 0.45, 0.00, 0.23, 0.00, 0.00, 0.00, 0.00)),
    "match_deg": (1.83, (0.00, 0.13, 0.00, 0.22, 0.30, 0.00, 0.00, 0.00)),
    "hand_height_top": (-3.16, (0.24, 0.00, 0.15, 0.00, 0.17, 0.24, 0.03, 0.44)),
    "hand_height_finish": (-2.66, (0.20, 0.41, 0.00, 0.15, 0.08, 0.10, 0.19, 0.11)),
    "tempo_ratio": (-2.10, (0.33, 0.75, 0.05, 0.00, 0.00, 0.00, 0.00, 0.33)),
    "impact_over_peak": (-3.08, (0.00, 1.16, 0.00, 0.00, 0.44, 0.79, 0.41, 0.52)),
}
"""By field: a, and b for each of FEATURES; half-widths in the field's unit, of the tempo as a share of it. Takeaway,
arm at the top, finish and hand speed are wider than that fit, the finish also where the points jump: so much the tuned half of
benchmarks/swings_by_others.py asked for; hand height at the finish by the worst clip that was left out (scripts/swing_habits.py)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quality:
    """How a swing was filmed: true seconds between pictures, jumps of the points (torso lengths), sharpness, how
    well the hands are seen on the way down, light (0 to 255), share
    of burnt-out pixels, the trunk's length in pixels, bits the file spends on a pixel, the camera's place and roll with their half-widths, whether others were in
    view, whether the arm was seen at address, how many times slower than life, whether left and right had to be set right."""

    frame_s: float = 1 / 60
    scatter: float = 0.009
    sharp: float = 0.1
    seen_down: float = 0.95
    light: float = 90.0
    burnt: float = 0.0
    trunk_px: float = 100.0
    azimuth_deg: float | None = 0.0
    azimuth90_deg: float = 5.0
    roll90_deg: float = USUAL_ROLL90_DEG
    crowded: bool = False
    bits_per_pixel: float | None = None
    level_known: bool = True
    slower: float = 1.0
    exchanged: bool = False


def features(quality: Quality, seen: float = 1.0) -> tuple[float, ...]:
    """What the half-widths hang on, each 0 where the filming is good: FEATURES."""
    return (
        _within(log(max(quality.scatter, 1e-4) / 0.009), -1.0, 2.0),
        _within(log(0.95 / max(quality.seen_down, 0.1)), 0.0, 0.7),
        _within(log(quality.frame_s * 60), 0.0, 1.6),
        1.0 if seen < WELL_SEEN else 0.0,
        _within(log(60 / max(quality.light, 1.0)), 0.0, 1.5),
        _within(log(100 / max(quality.trunk_px, 10.0)), 0.0, 1.5),
        0.0 if quality.level_known else 1.0,
        _within(log(CRUSHED / max(quality.bits_per_pixel or CRUSHED, 1e-5)), 0.0, 2.0),
    )


def doubts(swing: Swing, quality: Quality) -> dict[str, float]:
    """Half-widths by field, 90 %; instants in seconds of the clip. Fields that are not measured have none."""
    found = {}
    times = (CROWDED_TIMES if quality.crowded else 1.0) * (EXCHANGED_TIMES if quality.exchanged else 1.0)
    for name in TABLE:
        seen = swing.seen_top if "top" in name else swing.seen_finish if "finish" in name else 1.0
        if name == "match_deg":
            seen = min(swing.seen_top, swing.seen_finish)
        found[name] = _half_width(name, features(quality, seen)) * times
    if swing.seen_down < LEAST_SEEN_DOWN:
        found["t_impact_s"] = max(found["t_impact_s"], HIDDEN_IMPACT_S)
    beyond = max(0.0, abs(quality.azimuth_deg or 0.0) - WIDENED_DEG)
    rolled = max(0.0, quality.roll90_deg**2 - USUAL_ROLL90_DEG**2) ** 0.5
    for end in ("top", "finish"):
        arm = hypot(found[f"lead_arm_{end}_deg"], rolled, VIEW_WIDENS * beyond)
        found[f"lead_arm_{end}_deg"] = arm
        found[f"hand_height_{end}"] = hypot(found[f"hand_height_{end}"], HEIGHT_A_DEGREE * rolled)
        found[f"lead_arm_{end}_square_deg"] = hypot(arm, SQUARE90_DEG[end], SQUARE_TIMES * quality.azimuth90_deg)
    found["match_deg"] = hypot(
        found["match_deg"], 2 * rolled, 2 * VIEW_WIDENS * beyond, MATCH_TIMES * quality.azimuth90_deg
    )
    for name in INSTANTS:
        found[name] *= swing.slower
    ratio = swing.tempo_ratio
    found["tempo_ratio"] *= 1.0 if ratio is None else ratio
    if ratio is None:
        for name in ("t_takeaway_s", "tempo_ratio"):
            del found[name]
    if swing.t_finish_s is None:
        for name in (
            "t_finish_s",
            "lead_arm_finish_deg",
            "lead_arm_finish_square_deg",
            "match_deg",
            "hand_height_finish",
        ):
            del found[name]
    return {name: round(value, 4) for name, value in found.items()}


def _half_width(name: str, x: tuple[float, ...]) -> float:
    start, slopes = TABLE[name]
    return exp(start + sum(b * v for b, v in zip(slopes, x, strict=True)))


def _within(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)
