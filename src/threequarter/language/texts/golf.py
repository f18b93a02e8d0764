"""What the nouns of the game are called."""

from typing import Final

from threequarter.language.localize import N_

TEXTS: Final[dict[str, str]] = {
    "strike.good": N_("good"),
    "strike.heavy": N_("heavy"),
    "strike.fat": N_("fat"),
    "strike.thin": N_("thin"),
    "strike.toe": N_("toe"),
    "strike.heel": N_("heel"),
}
