"""What is said about practice, what to work on, the recheck, lessons and progress."""

from typing import Final

from threequarter.golf.language import N_
from threequarter.language.text import NN_, Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "work_on.mishits_fat": N_("Mishits: about {mishit_one_in}, most of them fat."),
    "work_on.mishits_thin": N_("Mishits: about {mishit_one_in}, most of them thin."),
    "work_on.mishits_toe": N_("Mishits: about {mishit_one_in}, most of them off the toe."),
    "work_on.mishits_heel": N_("Mishits: about {mishit_one_in}, most of them off the heel."),
    "work_on.mishit_count": Plural(
        NN_(
            "{mishits} of {balls} ball; expect {mishit_share}",
            "{mishits} of {balls} balls; expect {mishit_share}",
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
    "work_on.short_through_by": N_("the lead arm went about {by_deg} less far through than back"),
    "report.mishits": Plural(
        NN_(
            "{seen} ball: {called} a mishit, the club meeting ground or ball in the wrong place. Mishits fall short or fly too far; they"
            " are counted, but not in the distances above.",
            "{seen} balls: {called} mishits, the club meeting ground or ball in the wrong place. Mishits fall short or fly too far; they"
            " are counted, but not in the distances above.",
        ),
        by="seen",
    ),
    "card.mishits": N_("Mishits: {mishit_one_in} ({mishit_share})."),
}
