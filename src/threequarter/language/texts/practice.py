"""What is said about practice, what to work on, the recheck, lessons and progress."""

from typing import Final

from threequarter.language.localize import N_
from threequarter.language.text import NN_, Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "work_on.mishits_fat": N_("Mishits: expect about {mishit_one_in}, most of them fat."),
    "work_on.mishits_thin": N_("Mishits: expect about {mishit_one_in}, most of them thin."),
    "work_on.mishits_toe": N_("Mishits: expect about {mishit_one_in}, most of them off the toe."),
    "work_on.mishits_heel": N_("Mishits: expect about {mishit_one_in}, most of them off the heel."),
    "work_on.mishit_count": Plural(
        NN_(
            "{mishits} of {balls} ball, noted or judged by where they went; of the next balls expect {mishit_share}",
            "{mishits} of {balls} balls, noted or judged by where they went; of the next balls expect {mishit_share}",
        ),
        by="balls",
    ),
    "work_on.spread": N_(
        "{shot} spreads more than your other shots: nine good balls in ten land at {low_m:bare}-{high_m}."
    ),
    "work_on.spread_of": Plural(
        NN_(
            "{spread_share:1} of the carry, your usual is {usual_share:1}; {balls} ball",
            "{spread_share:1} of the carry, your usual is {usual_share:1}; {balls} balls",
        ),
        by="balls",
    ),
    "work_on.gap": N_("Gap at {low_m:bare}-{high_m}. {fill}"),
    "work_on.sure": N_("{sure_share} sure"),
    "work_on.short_through": Plural(
        NN_(
            "Through was shorter than back in {short} of {swings} swing.",
            "Through was shorter than back in {short} of {swings} swings.",
        ),
        by="swings",
    ),
    "work_on.short_through_by": N_("the lead arm went about {by_deg} less through than back"),
    "report.mishits": Plural(
        NN_(
            "Mishits: {called} of {seen} ball, where the club met ground or ball in the wrong place. Mishits fall "
            "short or fly too far; we count them, but not in the distances above.",
            "Mishits: {called} of {seen} balls, where the club met ground or ball in the wrong place. Mishits fall "
            "short or fly too far; we count them, but not in the distances above.",
        ),
        by="seen",
    ),
    "card.mishits": N_("Mishits: expect {mishit_one_in}"),
    "recheck.all_shots": N_("all shots"),
    "recheck.swings": N_("{swing} swings"),
    "recheck.club": N_("the {club}"),
    "recheck.holds": Plural(
        NN_(
            "The chart holds: {ratio_share:+} ± {half_share} from {balls} ball, so no move of {move_share} or more.",
            "The chart holds: {ratio_share:+} ± {half_share} from {balls} balls, so no move of {move_share} or more.",
        ),
        by="balls",
    ),
    "recheck.moved": Plural(
        NN_(
            "It moved: {ratio_share:+} ± {half_share} from {balls} ball.",
            "It moved: {ratio_share:+} ± {half_share} from {balls} balls.",
        ),
        by="balls",
    ),
    "recheck.not_known": Plural(
        NN_(
            "Too early to say: {ratio_share:+} ± {half_share} from {balls} ball.",
            "Too early to say: {ratio_share:+} ± {half_share} from {balls} balls.",
        ),
        by="balls",
    ),
    "recheck.add": N_(
        "Until the next session add {off_share} to the number you have to hit, then look it up in the old chart."
    ),
    "recheck.take_off": N_(
        "Until the next session take {off_share} off the number you have to hit, then look it up in the old chart."
    ),
    "recheck.why": N_("Why? A new ball, new grooves, cold or wet, or a changed swing. If it stays, chart again."),
    "recheck.hit": N_("To find out, hit {balls} with the {club} {swing}."),
    "recheck.group_moved": Plural(
        NN_(
            "Moved: {group}, {ratio_share:+} ± {half_share} from {balls} ball.",
            "Moved: {group}, {ratio_share:+} ± {half_share} from {balls} balls.",
        ),
        by="balls",
    ),
    "recheck.group_holds": Plural(
        NN_(
            "Holds: {group}, {ratio_share:+} ± {half_share} from {balls} ball.",
            "Holds: {group}, {ratio_share:+} ± {half_share} from {balls} balls.",
        ),
        by="balls",
    ),
    "recheck.group_open": Plural(
        NN_(
            "Too early to say: {group}, {ratio_share:+} ± {half_share} from {balls} ball.",
            "Too early to say: {group}, {ratio_share:+} ± {half_share} from {balls} balls.",
        ),
        by="balls",
    ),
    "recheck.left_out": Plural(
        NN_(
            "{left_out} ball was left out: a shot that is not in the chart, or a distance that includes run-out.",
            "{left_out} balls were left out: shots that are not in the chart, or distances that include run-out.",
        ),
        by="left_out",
    ),
    "practice.no_shot": N_(
        "No shot in this chart carries {carry_m}; it covers {low_m:bare} to {high_m}. Call a number inside that."
    ),
    "practice.no_balls": N_("A test needs at least one ball, not {balls}."),
    "practice.no_ladder": N_("A ladder needs three swing lengths with one wedge. Chart a third one first."),
    "practice.game_players": N_("A game takes two to {most} players. Choose them."),
    "practice.not_hit": N_("You have not hit a ball of this test yet."),
    "practice.why": N_(
        "One ball for each number, in random order: it often sticks better than blocks (Shea & Morgan 1979), though not always (Cheong, Lay"
        " & Razman 2016). Choose the club and the swing yourself: that is part of it."
    ),
    "clinic.nobody": N_("A clinic needs at least one player and one station."),
    "clinic.same_name": N_("Two players have the same name. Add a letter, so that no ball goes to the wrong one."),
    "clinic.too_many": N_("A clinic takes up to {most} players with 1 to 30 balls per station."),
    "practice.no_ball": N_("No balls to chart yet."),
    "guesses.miss": Plural(
        NN_("{count} guess, on average {miss_m:1} off.", "{count} guesses, on average {miss_m:1} off."), by="count"
    ),
    "guesses.too_few_days": N_("Guess on three days to see whether you tend to one side and whether you improve."),
    "guesses.long": N_("Thinks balls fly further than they do: {value_m:+1} [{low_m:+1 bare} … {high_m:+1 bare}]."),
    "guesses.short": N_("Thinks balls fly shorter than they do: {value_m:+1} [{low_m:+1 bare} … {high_m:+1 bare}]."),
    "guesses.neither": N_("Too long as often as too short so far: {value_m:+1} [{low_m:+1 bare} … {high_m:+1 bare}]."),
    "guesses.better": N_(
        "Getting better: the miss changes by {value_m:+1} [{low_m:+1 bare} … {high_m:+1 bare}] a week."
    ),
    "guesses.worse": N_("Getting worse: the miss changes by {value_m:+1} [{low_m:+1 bare} … {high_m:+1 bare}] a week."),
    "guesses.no_trend": N_(
        "No trend so far: the miss changes by {value_m:+1} [{low_m:+1 bare} … {high_m:+1 bare}] a week."
    ),
    "progress.better": N_("better"),
    "progress.worse": N_("worse"),
    "progress.not_known_yet": N_("too early to say"),
    "progress.not_known_until": Plural(
        NN_(
            "too early to say; at this rate it should show after {balls} ball in all",
            "too early to say; at this rate it should show after about {balls} balls in all",
        ),
        by="balls",
    ),
    "spread.counts_differ": N_(
        'There are {balls} balls but {swings} swings. Give each swing its ball ("ball": 3), or clips of exactly '
        "these balls."
    ),
    "spread.too_few": N_(
        "Too few: {pairs} good balls with a swing filmed, in shots of three or more. Film until you have about "
        "{enough}."
    ),
    "spread.largest_length": N_(
        "Swing length explains about {of_share} of the spread of carry ({low_share:bare} to {high_share}), from {pairs} balls."
    ),
    "spread.largest_tempo": N_(
        "Tempo explains about {of_share} of the spread of carry ({low_share:bare} to {high_share}), from {pairs} balls."
    ),
    "spread.largest_strike": N_(
        "Strike explains about {of_share} of the spread of carry ({low_share:bare} to {high_share}), from {pairs} balls."
    ),
    "spread.work_on_length": N_("Work on swing length first."),
    "spread.work_on_tempo": N_("Work on tempo first."),
    "spread.work_on_strike": N_("Work on strike first."),
    "spread.undecided": N_("Too early to say whether {first} or {second} matters more."),
    "spread.length": N_("swing length"),
    "spread.tempo": N_("tempo"),
    "spread.strike": N_("strike"),
}
