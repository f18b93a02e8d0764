"""What the chart says about itself: its notes, its cells, its checks."""

from typing import Final

from threequarter.golf.language import N_
from threequarter.language.text import Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "chart.few_players": N_("This chart mixes {count} players ({names}) and is nobody's. Chart one player at a time."),
    "chart.many_players": N_(
        "This chart mixes {count} players ({names} and others) and is nobody's. Chart one player at a time."
    ),
    "chart.no_loft": N_("No loft is told for {clubs}: it was taken from the name, with wide doubt."),
    "chart.own_swings": N_("{swings}: names of your own, so only the balls tell how long these swings are."),
    "chart.shared_error": N_(
        "The way of measuring has an error that all balls share, ±{wide_share}: it is in the doubt, and more balls do not"
        " lower it."
    ),
    "chart.piles": N_(
        "Where one distance stands for all balls of a shot it counts as one reading of a pile: its spread is not known."
    ),
}
