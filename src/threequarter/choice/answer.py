"""Shot choice as plain JSON and in words."""

from collections.abc import Sequence
from typing import Any, Final

from threequarter.choice.green import Green
from threequarter.choice.shot import Option
from threequarter.golf.units import DistanceUnit, from_metres

CAUTION: Final = (
    "For practice and planning. In a round under the Rules, Rule 4.3a (2023) does not allow advice on a club or a line from where the ball"
    " lies: then look at the printed card only. The Committee and local rules have the last word."
)
BASELINE: Final = (
    "Expected strokes are computed by a model of putts and short shots of ours for the level named, to compare two shots with, not to"
    " forecast a score."
)
NOT_IN_IT: Final = "Bunker lips, trees and breaks of the green are not in it."


def shot_answer(
    options: Sequence[Option], green: Green, unit: DistanceUnit, level: str, notes: Sequence[str] = ()
) -> dict[str, Any]:
    """Options best first with chances that add up, and what should be known."""

    def at(metres: float) -> float:
        return round(from_metres(metres, unit), 2)

    return {
        "unit": unit,
        "to": at(green.to_pin_m),
        "level": level,
        "options": [
            {
                "club": option.club, "swing": option.swing, "between": option.between, "aim": at(option.aim_m),
                "expected_strokes": round(option.expected_strokes, 3),
                "strokes90": [round(option.strokes90.low, 3), round(option.strokes90.high, 3)],
                "behind": round(option.behind, 3), "tied_with_best": option.tied,
                "chances": {
                    "on_green": round(option.on_green, 4), "within_3m": round(option.within_3m, 4),
                    "in_trouble": round(option.in_trouble, 4), "short_of_green": round(option.short, 4),
                },
                "carry": at(option.carry_m), "run": at(option.run_m), "words": say(option, unit),
            }
            for option in options
        ],
        "words": verdict(options, unit),
        "notes": [*notes, *([] if options else [nothing_reaches(green, unit)]), CAUTION, BASELINE, NOT_IN_IT],
    }  # fmt: skip


def nothing_reaches(green: Green, unit: DistanceUnit) -> str:
    """What to say where no shot of the chart ends near the number."""
    return f"No shot of this chart ends near {from_metres(green.to_pin_m, unit):.0f} {unit}. Add a club or a swing that does."


def say(option: Option, unit: DistanceUnit) -> str:
    """One option in a line."""
    run = from_metres(option.run_m, unit)
    parts = [f"lands at {from_metres(option.carry_m, unit):.0f} {unit}"]
    parts.append("stops" if run < 2 else f"runs about {run:.0f}" if run < 6 else f"a running shot, about {run:.0f}")
    if abs(option.aim_m) >= 0.5:
        parts.append(
            f"aim {from_metres(abs(option.aim_m), unit):.0f} {unit} {'right' if option.aim_m > 0 else 'left'} of the flag"
        )
    parts.append(f"{100 * option.on_green:.0f} of 100 on the green, {100 * option.within_3m:.0f} within 3 m")
    if option.in_trouble >= 0.01:
        parts.append(f"{100 * option.in_trouble:.0f} in trouble")
    if option.short >= 0.02:
        parts.append(f"{100 * option.short:.0f} too short")
    return "; ".join(parts)


def verdict(options: Sequence[Option], unit: DistanceUnit) -> list[str]:
    """The choice in one or two sentences."""
    if not options:
        return []
    best = options[0]
    tied = [option for option in options[1:] if option.tied]
    name = f"{best.club} {best.swing}"
    if tied:
        others = ", ".join(f"{option.club} {option.swing}" for option in tied[:3])
        return [f"{name} is best by what is known, but it cannot be told apart from {others}: take the one you trust."]
    return (
        [f"{name}: {options[1].behind:.2f} strokes better than {options[1].club} {options[1].swing}."]
        if len(options) > 1
        else [f"{name} is the only shot that reaches."]
    )
