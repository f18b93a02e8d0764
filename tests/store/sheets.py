"""Files of balls for the tests of the store: invented numbers, a row a ball."""

from collections.abc import Sequence

from threequarter.golf.ball import Ball, Place
from threequarter.intake.reading import Reading


def read(metres: Sequence[float], *, first_row: int = 2, player: str | None = None, name: str = "range.csv") -> Reading:
    """The reading of a file whose rows are these carries."""
    balls = tuple(
        Ball(
            number=i,
            club="54",
            loft_deg=54.0,
            swing="waist",
            distance_m=carry,
            player=player,
            place=Place(row=first_row + i - 1, col=3),
        )
        for i, carry in enumerate(metres, start=1)
    )
    return Reading(balls=balls, unit="m", name=name, plan=("carry from column 3",))


def as_bytes(metres: Sequence[float]) -> bytes:
    """The file itself."""
    return ("carry m\n" + "\n".join(f"{carry:g}" for carry in metres) + "\n").encode()
