"""What is said about how distances were measured."""

from typing import Final

from threequarter.language.localize import N_
from threequarter.language.text import NN_, Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "ground.soft": N_("soft"),
    "ground.normal": N_("normal"),
    "ground.firm": N_("firm"),
    "ground.plugs": N_("plugs"),
    "measurement.step": N_("A step of {step} m cannot be right: a step is {least} to {most} m."),
    "measurement.walk": N_("Walk a known distance of at least ten paces, then give the paces and the metres: 112,100."),
    "measurement.walked_step": N_(
        "{paces} paces over {distance} m, a step of {step} m, cannot be right: a step is {least} to {most} m."
    ),
    "measurement.plugged": Plural(
        NN_(
            "{balls} distance was measured to where the ball came to rest. The balls plug, so that is the carry.",
            "{balls} distances were measured to where the balls came to rest. The balls plug, so that is the carry.",
        ),
        by="balls",
    ),
    "measurement.run_taken_off": Plural(
        NN_(
            "{balls} distance was measured to where the ball came to rest. On {ground} ground we took off {low_m} of "
            "run-out. We know run-out only to about half of it, so the ranges are wider.",
            "{balls} distances were measured to where the balls came to rest. On {ground} ground we took off "
            "{low_m:bare} to {high_m} of run-out. We know run-out only to about half of it, so the ranges are wider.",
        ),
        by="balls",
    ),
}
