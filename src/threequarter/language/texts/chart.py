"""What the chart says about itself: its notes, its cells, its checks."""

from typing import Final

from threequarter.language.localize import N_
from threequarter.language.text import Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "chart.no_ball": N_("No balls to chart: every row is a warm-up ball or left out."),
    "chart.carry": N_(
        "The carry of ball {number} is {carry_m}; a shot carries {least_m:1} to {most_m}. Correct it or leave the row out."
    ),
    "chart.carry_of_row": N_(
        "The carry of ball {number} (row {row}) is {carry_m}; a shot carries {least_m:1} to {most_m}. Correct it or leave the"
        " row out."
    ),
    "chart.few_players": N_(
        "This chart mixes {count} players ({names}), so it fits none of them. Chart one player at a time."
    ),
    "chart.many_players": N_(
        "This chart mixes {count} players ({names} and others), so it fits none of them. Chart one player at a time."
    ),
    "chart.no_loft": N_("No loft given for {clubs}: we assumed the usual one, with a wide range."),
    "chart.own_swings": N_("{swings}: your own names, so only the balls tell how long these swings are."),
    "chart.shared_error": N_(
        "All balls share an error of ±{wide_share} from how they were measured. The ranges include it; more "
        "balls do not shrink it."
    ),
    "chart.piles": N_(
        "One distance for all balls of a shot counts as the middle of one pile, so we cannot know its spread."
    ),
    "chart.cell.as_hit": N_("Shown as hit; judged by the other shots it would carry {others_m}."),
    "chart.check.cell": N_(
        "{shot} does not fit the other shots: its balls carry about {hit_m}, the others say {others_m}. Check "
        "club, swing and unit; if they are right, hit five more of it."
    ),
    "chart.check.balls": N_(
        "{shot}: the middle of its balls is {balls_m}, the chart says {chart_m}. Trust the balls, and hit five more."
    ),
    "chart.check.club": N_("The balls of {club} do not fit the chart. Check that the club is right."),
    "chart.check.day": N_("The balls of day {number} do not fit the chart. Chart that day on its own."),
    "chart.check.unit_short": N_(
        "Balls {first_number} to {last_number} carry 9 % less than the others suggest: metres typed as yards?"
    ),
    "chart.check.unit_long": N_(
        "Balls {first_number} to {last_number} carry 9 % more than the others suggest: yards typed as metres?"
    ),
    "chart.check.cut": N_(
        "No ball lies below {least_m}, where about {count} should: the device may not see short balls. Type those in, or"
        " the chart shows too few mishits and the short shots too long."
    ),
    "chart.shorter": N_(
        "The balls flew about {change_share} shorter at the end than at the start: tired, or another unit? The chart is for the middle."
    ),
    "chart.longer": N_(
        "The balls flew about {change_share} longer at the end than at the start: warmer, or another unit? The chart is for the middle."
    ),
    "chart.blocks": N_(
        "You hit each shot in one go, so we cannot tell tiredness from the shots. Next time come back to each "
        "for a second round."
    ),
    "chart.why.short": N_("{by_m} short"),
    "chart.why.long": N_("{by_m} long"),
    "chart.why.side": N_("{side_m} to the side"),
    "chart.why.flight": N_("launch or spin unlike the other balls of this shot"),
    "one_air.unknown": N_("Day {day}: weather unknown, so its carries stay as measured, with wider ranges."),
    "one_air.changed": N_("Day {day} ({weather}): carries changed by {low_share:+1 bare} to {high_share:+1} to {to}."),
}
