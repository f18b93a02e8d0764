"""The signs as templates ask for them."""

from collections.abc import Sequence
from typing import Any

from markupsafe import Markup

from threequarter.golf.swing_length import LEVEL_WORDS
from threequarter.paper.pictures import sign as drawn


def sign(swing: str, size: float = 24, says: str = "") -> Markup:
    """The sign of a swing length by its name."""
    return Markup(drawn.sign(drawn.arm_of(swing), size, says=says))


def filmed_sign(back_deg: float, through_deg: float, size: float = 24, says: str = "") -> Markup:
    """The sign of a swing as a clip showed it; where through was longer or shorter than back, it is seen."""
    return Markup(drawn.sign(drawn.Arm(back_deg=back_deg, through_deg=through_deg), size, says=says))


def wedge_key(mark: int, length: float = 44) -> Markup:
    """The line a wedge is drawn with."""
    return Markup(drawn.wedge_key(mark, length))


def arms(swings: Sequence[str]) -> dict[str, float | dict[str, Any]]:
    """For a page that draws the sign itself: the arm of each length by its name; all that have a word where none is named."""
    words = [word for level in LEVEL_WORDS.values() for word in level]
    return {name: _arm(drawn.arm_of(name)) for name in (swings or words)}


def _arm(arm: drawn.Arm) -> float | dict[str, Any]:
    marks = {name: True for name in ("clock", "broken") if getattr(arm, name)}
    angle = round(arm.back_deg, 1)
    return {"deg": angle, **marks} if marks else angle
