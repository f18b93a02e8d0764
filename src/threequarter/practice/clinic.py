"""A clinic: several players, a few stations, some wedges each; who stands where in which round."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

MOST_PLAYERS: Final = 24
SECONDS_A_BALL: Final = 35
CHANGE_S: Final = 90


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """One round: for each station its wedge and swing, and who is there."""

    number: int
    stations: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Clinic:
    """The rotation, and how long it takes."""

    turns: tuple[Turn, ...]
    minutes: int
    balls_each: int


def rotation(players: Sequence[str], stations: Sequence[str], balls: int = 6) -> Clinic:
    """Everybody once at every station, as evenly spread as can be: player i begins at station i modulo their number.

    Raises UserError for nobody, no station, two players of one name, or more than can be kept apart.
    """
    names = [name.strip() for name in players if name.strip()]
    if not names or not stations:
        raise UserError(Message("clinic.nobody"))
    if len({name.casefold() for name in names}) < len(names):
        raise UserError(Message("clinic.same_name"))
    if len(names) > MOST_PLAYERS or not 1 <= balls <= 30:
        raise UserError(Message("clinic.too_many", most=MOST_PLAYERS))
    n = len(stations)
    turns = tuple(
        Turn(
            number=turn + 1,
            stations=tuple(
                (station, tuple(name for i, name in enumerate(names) if (i + turn) % n == k))
                for k, station in enumerate(stations)
            ),
        )
        for turn in range(n)
    )
    fullest = -(-len(names) // n)
    seconds = n * (balls * fullest * SECONDS_A_BALL + CHANGE_S)
    return Clinic(turns=turns, minutes=round(seconds / 60), balls_each=balls * n)
