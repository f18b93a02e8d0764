"""What is said about shot choice, greens, lies and wedges."""

from typing import Final

from threequarter.language.localize import N_
from threequarter.language.text import Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "lie.fairway": N_("fairway"),
    "lie.wet": N_("wet"),
    "lie.rough": N_("rough"),
    "lie.bare": N_("bare"),
    "strokes.too_far": N_("We know expected strokes up to {most_m}, not from {worst_m}."),
    "green.size": N_("A green must be at least 4 m deep and 4 m wide, not {depth} by {width} m."),
    "green.pin": N_("Put the flag on the green: {pin} m is off its {depth} m."),
    "green.distance": N_("The distance to the flag must be {least_m:bare} to {most_m}, not {to_m}."),
    "green.pin_word": N_("Give the flag as front, middle, back or metres from the front edge, not {pin!r}."),
    "green.trouble_word": N_(
        "Give trouble as short, long, left or right, followed by :sand, :water or :rough; not {word!r}."
    ),
    "shot.worlds": N_("The shot {club} {swing} holds {count} draws, not {worlds}."),
    "shot.between": N_("{club} between {low} and {high}"),
    "shot.between_swing": N_("between {low} and {high}"),
    "shot.rule": N_(
        "For practice and planning. In a round under the Rules, Rule 4.3a (2023) does not allow advice on a club or a line from where the"
        " ball lies: then look at the printed card only. The Committee and local rules have the last word."
    ),
    "shot.baseline": N_(
        "Expected strokes come from our own model of putts and short shots for the level named. They compare two shots; they do not forecast"
        " a score."
    ),
    "shot.not_in_it": N_("Bunker lips, trees and breaks of the green are not in it."),
    "shot.nothing_reaches": N_("No shot in this chart finishes near {to_m}. Add a club or a swing that does."),
    "shot.least_trouble": N_("Least trouble: {in_trouble} of 100."),
    "shot.never_hit": N_("You have never hit it: the numbers are a guess."),
    "shot.surest_strike": N_("Your surest strike: expect {mishit_share} mishits."),
    "shot.near": N_("Within {within_m:1}"),
    "shot.nearest": N_("Finishes nearest: {near} of 100 within {within_m:1}."),
    "shot.fewest_strokes": N_("Fewest strokes on average."),
    "shot.stops_soonest": N_("Stops soonest."),
    "shot.nearly_as_good": N_("Just as good, as far as anybody can tell."),
    "shot.also": N_("It gets there too."),
    "shot.lands": N_("lands at {carry_m}"),
    "shot.stops": N_("stops"),
    "shot.runs": N_("runs about {run_m}"),
    "shot.running": N_("a running shot, about {run_m}"),
    "shot.aim_right": N_("aim {aim_m} right of the flag"),
    "shot.aim_left": N_("aim {aim_m} left of the flag"),
    "shot.chances": N_("{on_green} of 100 on the green, {near} within {within_m:1}"),
    "shot.in_trouble": N_("{in_trouble} in trouble"),
    "shot.short": N_("{short} too short"),
    "shot.only": N_("Only the {shot} gets there."),
    "shot.alike": N_("{shot}. Just as good, as far as we know: {others}. Take the one you trust."),
    "shot.tied": N_("{shot}. {why} Just as good, as far as we know: {others}. Take the one you trust."),
    "shot.best": N_("{shot}. {why} {strokes} strokes better than {other}."),
    "wedges.most": N_("A bag of {clubs} clubs (Rule 4.1b) leaves room for 1 to 8 wedges, not {most}."),
    "wedges.no_loft": N_("No club in this chart has a loft. Name the lofts you carry: 46, 50, 54, 58."),
    "wedges.span": N_(
        "The longest number must be at least {rise_m} more than the shortest, both within {least_m:bare} to "
        "{most_m}; not {low_m:bare} to {high_m}."
    ),
    "wedges.loft": N_("A wedge has a loft of {least} to {most} degrees, not {loft}."),
    "wedges.one_more": N_("One more wedge, a {lofts}, saves one stroke in {shots} such shots."),
    "wedges.one_more_nothing": N_("One more wedge, a {lofts}, saves next to nothing."),
    "wedges.one_less": N_("Leaving the {lofts} out costs one stroke in {shots} such shots."),
    "wedges.one_less_nothing": N_("Leaving the {lofts} out costs next to nothing."),
}
