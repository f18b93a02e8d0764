"""Shot choice as plain JSON and in words."""

from collections.abc import Sequence
from typing import Any, Final

from threequarter.choice.green import Green
from threequarter.choice.shot import Option
from threequarter.golf.language import N_, _, number
from threequarter.golf.units import DistanceUnit, from_metres

CAUTION: Final = N_(
    "For practice and planning. In a round under the Rules, Rule 4.3a (2023) does not allow advice on a club or a line from where the ball"
    " lies: then look at the printed card only. The Committee and local rules have the last word."
)
BASELINE: Final = N_(
    "Expected strokes are computed by a model of putts and short shots of ours for the level named, to compare two shots with, not to"
    " forecast a score."
)
NOT_IN_IT: Final = N_("Bunker lips, trees and breaks of the green are not in it.")


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
        "notes": [*notes, *([] if options else [nothing_reaches(green, unit)]), _(CAUTION), _(BASELINE), _(NOT_IN_IT)],
    }  # fmt: skip


def nothing_reaches(green: Green, unit: DistanceUnit) -> str:
    """What to say where no shot of the chart ends near the number."""
    return _("No shot of this chart ends near {to} {unit}. Add a club or a swing that does.").format(
        to=number(from_metres(green.to_pin_m, unit)), unit=unit
    )


def say(option: Option, unit: DistanceUnit) -> str:
    """One option in a line."""
    run = from_metres(option.run_m, unit)
    parts = [_("lands at {carry} {unit}").format(carry=number(from_metres(option.carry_m, unit)), unit=unit)]
    runs = _("stops") if run < 2 else _("runs about {run}") if run < 6 else _("a running shot, about {run}")
    parts.append(runs.format(run=number(run)))
    if abs(option.aim_m) >= 0.5:
        aim = _("aim {aim} {unit} right of the flag") if option.aim_m > 0 else _("aim {aim} {unit} left of the flag")
        parts.append(aim.format(aim=number(from_metres(abs(option.aim_m), unit)), unit=unit))
    parts.append(
        _("{on_green} of 100 on the green, {near} within 3 m").format(
            on_green=number(100 * option.on_green), near=number(100 * option.within_3m)
        )
    )
    if option.in_trouble >= 0.01:
        parts.append(_("{count} in trouble").format(count=number(100 * option.in_trouble)))
    if option.short >= 0.02:
        parts.append(_("{count} too short").format(count=number(100 * option.short)))
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
        return [
            _(
                "{shot} is best by what is known, but it cannot be told apart from {others}: take the one you trust."
            ).format(shot=name, others=others)
        ]
    if len(options) == 1:
        return [_("{shot} is the only shot that reaches.").format(shot=name)]
    return [
        _("{shot}: {strokes} strokes better than {other}.").format(
            shot=name, strokes=number(options[1].behind, 2), other=f"{options[1].club} {options[1].swing}"
        )
    ]
