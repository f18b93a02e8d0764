"""What the nouns of the game are called."""

from typing import Final

from threequarter.language.localize import N_

TEXTS: Final[dict[str, str]] = {
    "plan.form": N_(
        "{text} is not a plan. Write the clubs, a colon, then the swing lengths, with commas between: 50, 54, "
        "58: waist, chest."
    ),
    "strike.good": N_("good"),
    "strike.heavy": N_("heavy"),
    "strike.fat": N_("fat"),
    "strike.thin": N_("thin"),
    "strike.toe": N_("toe"),
    "strike.heel": N_("heel"),
}
