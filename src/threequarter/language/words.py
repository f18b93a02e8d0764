"""Numbers in words: a carry always with its doubt and unit, said the same way on page, paper and command line."""

from typing import TYPE_CHECKING, Final

from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language.localize import N_, _, ngettext
from threequarter.language.texts import golf

if TYPE_CHECKING:  # the words of a command's help must not wait for numpy
    from threequarter.chart.result import Cell, Interval

_UNIT_WORDS: Final[dict[DistanceUnit, str]] = {"yd": N_("yards"), "m": N_("metres")}


def unit_word(unit: DistanceUnit) -> str:
    """The unit as it stands after "in": "in yards"."""
    return _(_UNIT_WORDS[unit])


def rounded(distance_m: float, unit: DistanceUnit) -> int:
    """A distance in whole units."""
    return round(from_metres(distance_m, unit))


def shot(cell: "Cell") -> str:
    """A shot's name: "54 waist"."""
    return f"{cell.club} {cell.swing}".strip()


def half_width(interval: "Interval", unit: DistanceUnit) -> float:
    """Half of a 90 % interval, in the unit."""
    return from_metres(interval.half, unit)


def carry(cell: "Cell", unit: DistanceUnit) -> str:
    """ "54 ± 2 yd"."""
    return f"{rounded(cell.stock_carry_m, unit)} ± {doubt(cell.stock90_m, unit)} {unit}"


def span(interval: "Interval", unit: DistanceUnit) -> str:
    """ "51-58 yd"."""
    return f"{rounded(interval.low, unit)}-{rounded(interval.high, unit)} {unit}"


def percent(share: float) -> str:
    """A share in whole percent."""
    return f"{100 * share:.0f} %"


def one_in(rate: float) -> str:
    """A rate as people say it: "one in 8"."""
    if rate < 0.02:
        return _("hardly any")
    if rate < 0.4:
        return _("one in {count}").format(count=round(1 / rate))
    return _("{count} in ten").format(count=round(10 * rate))


def strike_word(strike: str) -> str:
    """A strike's kind: "fat"."""
    return _(golf.TEXTS[f"strike.{strike}"])


def balls(count: int) -> str:
    """ "1 ball", "12 balls"."""
    return ngettext("{count} ball", "{count} balls", count).format(count=count)


def doubt(interval: "Interval", unit: DistanceUnit) -> int:
    """Half of an interval in whole units, never less than one: "± 2"."""
    return max(1, round(half_width(interval, unit)))


def signed(number: float) -> str:
    """A change in whole units with its sign: "+3", "−2", "0"."""
    whole = round(number)
    return f"{whole:+d}".replace("-", "−") if whole else "0"
