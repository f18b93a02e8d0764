"""A swing in the coach's words: how far back and through on the body and on the clock, felt against real, matched or not."""

from typing import Final

from threequarter.golf.errors import UserError
from threequarter.golf.swing_length import parse_swing
from threequarter.swing.measure import Swing

LEVELS: Final[tuple[tuple[str, float], ...]] = (("knee", -0.8), ("waist", 0.2), ("chest", 0.7), ("shoulder", 1.0))
"""Hand height (0 hip joints, 1 shoulder joints) of the body levels players name."""
ABOVE: Final = 1.18
CLEAR: Final = 0.3
"""Share of the gap to the neighbour within which a height still is the level itself; further off it is between."""
MATCHED: Final = 0.16
"""Back and through match when their hand heights differ by less: about the doubt of the two measures."""
SAME_LEVEL: Final = 0.5


def level(height: float) -> str:
    """ "waist", "between waist and chest", "above the shoulder"."""
    if height >= ABOVE:
        return "above the shoulder"
    if height <= LEVELS[0][1]:
        return LEVELS[0][0]
    for (low, a), (high, b) in zip(LEVELS, (*LEVELS[1:], ("", 2.0)), strict=True):
        if a <= height < b and high:
            share = (height - a) / (b - a)
            return low if share < CLEAR else high if share > 1 - CLEAR else f"between {low} and {high}"
    return LEVELS[-1][0]


def clock(arm_deg: float, *, through: bool = False) -> str:
    """The hand of a clock that the lead arm points to as the camera sees a right-hander: 75° back is 8:30, through 3:30."""
    hours = 6 - arm_deg / 30 if through else 6 + arm_deg / 30
    minutes = round(hours * 6) * 10
    hour, rest = divmod(minutes, 60)
    return f"{(hour - 1) % 12 + 1}:{rest:02d}"


def say(swing: Swing, felt: str | None = None) -> list[str]:
    """What to tell the player of one swing, most useful first."""
    back, through = level(swing.hand_height_top), level(swing.hand_height_finish)
    lines = [
        f"back: {back}, {clock(swing.lead_arm_top_deg)}; through: {through}, {clock(swing.lead_arm_finish_deg, through=True)}"
    ]
    gap = swing.hand_height_finish - swing.hand_height_top
    if abs(gap) < MATCHED:
        lines.append("through matches back")
    else:
        lines.append("through is longer than back" if gap > 0 else "through is shorter than back")
    lines.append(f"tempo {swing.tempo_ratio:.1f} to 1, {swing.t_impact_s - swing.t_takeaway_s:.2f} s to the ball")
    if swing.decelerating:
        lines.append("the hands slowed down before the ball")
    if felt:
        lines.append(felt_against_real(swing, felt))
    return lines


def felt_against_real(swing: Swing, felt: str) -> str:
    """What the player meant beside what was seen. Raises UserError for a length that tells none."""
    meant = parse_swing(felt)
    if meant.kind == "clock" and meant.hour is not None:
        off = swing.lead_arm_top_deg - 30 * (meant.hour - 6)
        real, longer = clock(swing.lead_arm_top_deg), off > 0
        if abs(off) < 8:
            return f"felt {felt}, and it was {real}"
        return f"felt {felt}, real {real}: {'longer' if longer else 'shorter'} than meant"
    heights = dict(LEVELS) | {"full": 1.3}
    if meant.key not in heights:
        raise UserError(
            f"{felt!r} is no swing length the camera can see. Name a body level (waist, chest, shoulder) or a clock time (9:00)."
        )
    real = level(swing.hand_height_top)
    off = swing.hand_height_top - heights[meant.key]
    if real == meant.key or abs(off) < 0.12:
        return f"felt {felt}, and it was {real}"
    return f"felt {felt}, real {real}: {'longer' if off > 0 else 'shorter'} than meant"


def alike(swings: tuple[Swing, ...]) -> str | None:
    """How alike the swings of a clip were; None for fewer than three."""
    if len(swings) < 3:
        return None
    heights = sorted(swing.hand_height_top for swing in swings)
    arms = sorted(swing.lead_arm_top_deg for swing in swings)
    tempos = sorted(swing.tempo_ratio for swing in swings)
    usual = tempos[len(tempos) // 2]
    off = [n for n, swing in enumerate(swings, start=1) if abs(swing.tempo_ratio - usual) > 0.5]
    line = f"{len(swings)} swings: arm back {arms[0]:.0f} to {arms[-1]:.0f}°, hands {level(heights[0])} to {level(heights[-1])}, usual tempo {usual:.1f} to 1"
    return line + (f"; unlike the others in tempo: {', '.join(map(str, off))}" if off else "")
