"""A swing in the coach's words: how far back and through on the body and on the clock, felt against real, matched or not."""

import itertools
from typing import Final

from threequarter.golf.errors import UserError
from threequarter.golf.language import N_, _, number
from threequarter.golf.swing_length import parse_swing
from threequarter.swing.measure import Swing

LEVELS: Final[tuple[tuple[str, float], ...]] = (
    (N_("knee"), -0.8), (N_("waist"), 0.2), (N_("chest"), 0.7), (N_("shoulder"), 1.0),
)  # fmt: skip
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
        return _("above the shoulder")
    low, high = _levels(height)
    return _(low) if low == high else _("between {low} and {high}").format(low=_(low), high=_(high))


def _levels(height: float) -> tuple[str, str]:
    """The levels a height lies between, by their keys; twice the same where it is one of them."""
    if height <= LEVELS[0][1]:
        return LEVELS[0][0], LEVELS[0][0]
    for (low, a), (high, b) in itertools.pairwise(LEVELS):
        if a <= height < b:
            share = (height - a) / (b - a)
            return (low, low) if share < CLEAR else (high, high) if share > 1 - CLEAR else (low, high)
    return LEVELS[-1][0], LEVELS[-1][0]


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
        _("back: {back}, {back_clock}; through: {through}, {through_clock}").format(
            back=back, back_clock=clock(swing.lead_arm_top_deg), through=through,
            through_clock=clock(swing.lead_arm_finish_deg, through=True),
        )
    ]  # fmt: skip
    gap = swing.hand_height_finish - swing.hand_height_top
    if abs(gap) < MATCHED:
        lines.append(_("through matches back"))
    else:
        lines.append(_("through is longer than back") if gap > 0 else _("through is shorter than back"))
    lines.append(
        _("tempo {tempo} to 1, {seconds} s to the ball").format(
            tempo=number(swing.tempo_ratio, 1), seconds=number(swing.t_impact_s - swing.t_takeaway_s, 2)
        )
    )
    if swing.decelerating:
        lines.append(_("the hands slowed down before the ball"))
    if felt:
        lines.append(felt_against_real(swing, felt))
    return lines


def felt_against_real(swing: Swing, felt: str) -> str:
    """What the player meant beside what was seen. Raises UserError for a length that tells none."""
    meant = parse_swing(felt)
    if meant.kind == "clock" and meant.hour is not None:
        off = swing.lead_arm_top_deg - 30 * (meant.hour - 6)
        return _beside(felt, clock(swing.lead_arm_top_deg), off, abs(off) < 8)
    heights = dict(LEVELS) | {"full": 1.3}
    if meant.key not in heights:
        raise UserError(
            _(
                "{felt!r} is no swing length the camera can see. Name a body level (waist, chest, shoulder) or a clock time (9:00)."
            ).format(felt=felt)
        )
    off = swing.hand_height_top - heights[meant.key]
    there = swing.hand_height_top < ABOVE and _levels(swing.hand_height_top) == (meant.key, meant.key)
    return _beside(felt, level(swing.hand_height_top), off, there or abs(off) < 0.12)


def _beside(felt: str, real: str, off: float, same: bool) -> str:
    if same:
        return _("felt {felt}, and it was {real}").format(felt=felt, real=real)
    if off > 0:
        return _("felt {felt}, real {real}: longer than meant").format(felt=felt, real=real)
    return _("felt {felt}, real {real}: shorter than meant").format(felt=felt, real=real)


def alike(swings: tuple[Swing, ...]) -> str | None:
    """How alike the swings of a clip were; None for fewer than three."""
    if len(swings) < 3:
        return None
    heights = sorted(swing.hand_height_top for swing in swings)
    arms = sorted(swing.lead_arm_top_deg for swing in swings)
    tempos = sorted(swing.tempo_ratio for swing in swings)
    usual = tempos[len(tempos) // 2]
    off = [n for n, swing in enumerate(swings, start=1) if abs(swing.tempo_ratio - usual) > 0.5]
    text = (
        _("{count} swings: arm back {low} to {high}°, hands {lowest} to {highest}, usual tempo {tempo} to 1; unlike the others in tempo: {off}")
        if off
        else _("{count} swings: arm back {low} to {high}°, hands {lowest} to {highest}, usual tempo {tempo} to 1")
    )  # fmt: skip
    return text.format(
        count=len(swings), low=number(arms[0]), high=number(arms[-1]), lowest=level(heights[0]), highest=level(heights[-1]),
        tempo=number(usual, 1), off=", ".join(map(str, off)),
    )  # fmt: skip
