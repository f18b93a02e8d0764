"""The signs as templates ask for them."""

from markupsafe import Markup

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
