"""What is said about the next ball, enough, the plan, gaps and doubles."""

from typing import Final

from threequarter.language.localize import N_
from threequarter.language.text import NN_, Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "advice.goal": N_("the looser of ±{promise_m:1}, ±3 % and a third of your own spread, over the whole chart (90 %)"),
    "advice.enough": N_(
        "Good enough: taken together, the numbers of this chart are known to ±{promise_m:1}, ±3 % or a third of your own spread. Stop here, or hit what you enjoy."
    ),
    "advice.less_sure": Plural(
        NN_(
            "{shots} shot, marked ?, is less sure.",
            "{shots} shots, marked ?, are less sure.",
        ),
        by="shots",
    ),
    "advice.strike": N_("Mishits: expect about {mishit_one_in}. Work on the strike before you hit more for the chart."),
    "advice.strike_enough": N_(
        "Mishits: expect about {mishit_one_in}. Stop charting and work on the strike; these numbers will do until then."
    ),
    "advice.next": Plural(
        NN_(
            "Hit {balls} with the {shot}, then look again. {why} ±{now_m:1} now, about ±{after_m:1} after it.",
            "Hit {balls} with the {shot}, then look again. {why} ±{now_m:1} now, about ±{after_m:1} after them.",
        ),
        by="balls",
    ),
    "advice.never_hit": N_("You have not hit it yet."),
    "advice.disagrees": N_("It does not fit your other shots, so it needs balls of its own."),
    "advice.few": Plural(
        NN_("One ball is not enough for a shot.", "{balls} balls are not enough for a shot."), by="balls"
    ),
    "advice.come_back": N_("Come back to it: one block cannot separate distance from getting tired."),
    "advice.least_sure": Plural(
        NN_(
            "It is the least sure for its length after {balls} ball.",
            "It is the least sure for its length after {balls} balls.",
        ),
        by="balls",
    ),
    "advice.steadies": N_("It also sharpens the other shots with that club or swing."),
    "advice.to_go": Plural(
        NN_(
            "About {balls} more ball ({minutes} min) makes the chart good enough.",
            "About {balls} more balls ({minutes} min) make the chart good enough.",
        ),
        by="balls",
    ),
    "advice.to_go_beyond": Plural(
        NN_(
            "The chart needs about {balls} more ball ({minutes} min), more than {most} today. Spread it over two visits.",
            "The chart needs about {balls} more balls ({minutes} min), more than {most} today. Spread them over two visits.",
        ),
        by="balls",
    ),
    "advice.limit": Plural(
        NN_(
            "{balls} ball hit: that is today's limit. Stop here.",
            "{balls} balls hit: that is today's limit. Stop here.",
        ),
        by="balls",
    ),
    "advice.limit_child": Plural(
        NN_(
            "{balls} ball hit: enough for a child today. Stop here.",
            "{balls} balls hit: enough for a child today. Stop here.",
        ),
        by="balls",
    ),
    "advice.another_time": Plural(
        NN_(
            "About {balls} more ball another day makes the chart good enough.",
            "About {balls} more balls another day make the chart good enough.",
        ),
        by="balls",
    ),
    "advice.moved": Plural(
        NN_(
            "Not good enough: it moved, and these numbers lie between the days. Hit every shot on another day "
            "({balls} ball or more), then look again.",
            "Not good enough: it moved, and these numbers lie between the days. Hit every shot on another day "
            "({balls} balls or more), then look again.",
        ),
        by="balls",
    ),
    "advice.measure": N_(
        "More balls will not make this chart good enough: the way you measure is too coarse. Measure carry, or "
        "use something more accurate."
    ),
    "advice.measure_paces": N_(
        "More balls will not make this chart good enough: paces are too coarse. Check your step over a known "
        "distance, or use something more accurate."
    ),
    "plan.nothing": N_("A plan needs at least one club and one swing length."),
    "plan.spread": N_("A ball-to-ball spread of {spread_share} is outside 1 to 30 %."),
    "plan.minutes": N_("{minutes} minutes cannot be planned: give {least} to 600."),
    "plan.balls": N_("{balls} balls cannot be planned: give {least} to {most}."),
    "plan.full": N_("A full swing of {full_m} cannot be right: give {least_m} to {most_m}."),
    "plan.takes": N_(
        "{balls} balls, about {minutes} minutes with talk, filming and pauses, for a chart that is good enough."
    ),
    "plan.begins": N_(
        "{balls} balls, about {minutes} minutes with talk, filming and pauses. That starts the chart; it will "
        "not be good enough yet."
    ),
    "plan.left_out": N_("For another time: {shots}."),
    "plan.two_rounds": N_("Two rounds: come back to each shot, so that tiredness does not look like a shorter shot."),
    "meaning.one_shot": N_("One stock shot: {carry_m}."),
    "meaning.span": N_("{shots} stock shots, from {low_m:bare} to {high_m}."),
    "meaning.gap": N_("Gap: no stock shot for {low_m:bare}-{high_m}, between {below} and {above} ({sure_share} sure)."),
    "meaning.no_gaps": N_("No gaps: a stock shot covers every number in between."),
    "meaning.double": N_(
        "Double: {first} and {second} both carry about {carry_m}. Choose by flight: more loft flies higher and stops sooner."
    ),
    "meaning.undecided": N_("Not separated yet: {first} and {second} differ by {apart_m:bare} ± {half_m}."),
    "meaning.more_undecided": Plural(NN_("So with {pairs} more pair.", "So with {pairs} more pairs."), by="pairs"),
    "gap.between": N_(
        "Fill it with the {club}: a swing between {low} and {high}, about {carry_m:bare} ± {half_m} until you have hit it."
    ),
    "gap.grip_down": N_(
        "Fill it by gripping down on the {shot}: that takes about {off_share} off (common practice, no source), so about {carry_m:bare} ±"
        " {half_m} until you have hit it."
    ),
    "gap.grip_down_learned": N_(
        "Fill it by gripping down on the {shot}: by your own balls about {carry_m:bare} ± {half_m}."
    ),
    "gap.other_loft": N_("None of your shots comes near. Another loft would fill it."),
    "cell.never_hit": N_("Never hit: worked out from the other shots."),
    "cell.few": Plural(
        NN_(
            "Only {balls} ball: the rest comes from the other shots.",
            "Only {balls} balls: the rest comes from the other shots.",
        ),
        by="balls",
    ),
    "cell.two_swings": N_("Two swings under one name: one carries about {first_m:bare}, the other about {second_m}."),
    "mishits.read": N_("{read} balls read: {charted} charted, {unused} warm-up or left out."),
    "mishits.piles": N_("Mishits: piles cannot show them."),
    "mishits.share": Plural(
        NN_(
            "Mishits: {called} of {seen} ball ({called_share}). Of the next balls expect about {mishit_share} ({low_share:bare} to {high_share}).",
            "Mishits: {called} of {seen} balls ({called_share}). Of the next balls expect about {mishit_share} ({low_share:bare} to {high_share}).",
        ),
        by="seen",
    ),
    "mishits.noted": N_("Noted: {kinds}."),
    "mishits.called": N_("Judged by where the balls went: {kinds}."),
    "mishits.doubtful": Plural(
        NN_("{doubtful} ball may be a mishit.", "{doubtful} balls may be mishits."), by="doubtful"
    ),
    "mishits.most_with": N_("Most with the {shot}: {mishits} of {balls}."),
    "mishits.fat": N_("{number} fat"),
    "mishits.thin": N_("{number} thin"),
    "mishits.toe": N_("{number} toe"),
    "mishits.heel": N_("{number} heel"),
    "mishits.heavy": N_("{number} heavy (usable)"),
    "run.draws_back": N_("stops where it lands, or spins back"),
    "run.draws_back_short": N_("stops, or spins back"),
    "run.stops": N_("stops within {high_m}"),
    "run.back_to": N_("spins back up to {back_m:bare} or runs up to {high_m}"),
    "run.back_to_short": N_("−{back_m:bare} to {high_m}"),
    "run.runs": N_("runs {low_m:bare}-{high_m}"),
    "flight.lower_higher": N_("{low}: lower, {low_runs}; {high}: higher, {high_runs}."),
    "flight.side_by_side": N_("{low}: {low_runs}; {high}: {high_runs}."),
    "day.not_corrected": N_(
        "Not corrected, because physics cannot: range balls (hit a few pairs to learn your own factor), wet "
        "grooves or grass between face and ball (less spin, longer and lower), a cold ball and stiff hands."
    ),
    "day.rule": N_(
        "Made the night before from a forecast, which Rule 4.3a allows (2023). During the round do not measure "
        "wind or slope, and do not work out a new number at the ball; the Committee and local rules have the last word."
    ),
    "day.effect_doubt": N_(
        "These are middle values: on simulated players a quarter to a half of such a change was still wrong."
    ),
    "day.made_unknown": N_(
        "We don't know the weather the balls were hit in. We took an ordinary practice day, so the ranges are wider."
    ),
    "day.made_no_temp_and_wind": N_(
        "We don't know the temperature and wind of the day the balls were hit, so the ranges are wider."
    ),
    "day.made_no_temp": N_("We don't know the temperature of the day the balls were hit, so the ranges are wider."),
    "day.made_no_wind": N_("We don't know the wind of the day the balls were hit, so the ranges are wider."),
    "day.nothing_told": N_("No weather given for the day: only the ground differs."),
    "day.only_slope": N_("No weather given for the day: only slope and ground differ."),
    "effect.wind": N_("wind {wind_mps}"),
    "effect.ahead": N_("head wind {wind_mps}"),
    "effect.behind": N_("tail wind {wind_mps}"),
    "effect.left": N_("left wind {wind_mps}"),
    "effect.uphill": N_("{slope} % uphill"),
    "effect.downhill": N_("{slope} % downhill"),
    "effect.warmer_c": N_("{degrees} °C warmer"),
    "effect.colder_c": N_("{degrees} °C colder"),
    "effect.warmer_f": N_("{degrees} °F warmer"),
    "effect.colder_f": N_("{degrees} °F colder"),
}
