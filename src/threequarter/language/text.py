"""The form of a text in the catalogue: one template, or two where a number decides."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Plural:
    """Two forms of a text and the value that chooses: `Plural(NN_("{balls} ball", "{balls} balls"), by="balls")`."""

    forms: tuple[str, str]
    by: str


def NN_(one: str, many: str) -> tuple[str, str]:
    """Marks the two forms of a text for the catalogue and gives them back."""
    return one, many
