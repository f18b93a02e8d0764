"""One thing that the doctor looked at."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Finding:
    """Whether it is well, what was found, and the cure if it is not."""

    what: str
    well: bool
    found: str
    cure: str = ""
    needed: bool = True
