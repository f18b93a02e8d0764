"""Whether a chart still holds, as plain JSON and in lines; the one place that words a verdict."""

from typing import Any

from threequarter.golf.language import _, ngettext, number
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import words
from threequarter.practice.recheck import Recheck, Shift, say


def recheck_answer(found: Recheck, unit: DistanceUnit) -> dict[str, Any]:
    """Everything a recheck says. Distances in `unit`, shares in percent, intervals hold 90 %."""
    return {
        "unit": unit,
        "verdict": found.verdict,
        "whole": shift_answer(found.whole, unit),
        "groups": [shift_answer(group, unit) for group in found.groups],
        "left_out": found.left_out,
        "more": [{"club": club, "swing": swing, "balls": balls} for club, swing, balls in found.more],
        "words": recheck_lines(found, unit),
    }


def shift_answer(shift: Shift, unit: DistanceUnit) -> dict[str, Any]:
    """How far a group of shots moved."""
    return {
        "group": shift.group,
        "verdict": shift.verdict,
        "balls": shift.balls,
        "percent": round(100 * shift.ratio, 2),
        "percent90": [round(100 * shift.ratio90.low, 2), round(100 * shift.ratio90.high, 2)],
        "moved": round(from_metres(shift.moved_m, unit), 2),
        "words": say(shift, unit),
    }


def verdict_words(found: Recheck) -> str:
    """The verdict in a word or three."""
    return {
        "holds": _("The chart still holds."),
        "moved": _("It moved."),
        "not known yet": _("Not known yet."),
    }[found.verdict]


def recheck_lines(found: Recheck, unit: DistanceUnit) -> list[str]:
    """The verdict, how much, and what to do with it."""
    whole = found.whole
    lines = [verdict_words(found), say(whole, unit), _("In percent: {low} to {high}.").format(
        low=_percent(whole.ratio90.low), high=_percent(whole.ratio90.high))]  # fmt: skip
    lines += [say(group, unit) for group in found.groups if group.verdict == "moved"]
    if found.verdict == "moved":
        if whole.verdict == "moved":
            change = _("Add {share} to every number until the next session.") if whole.ratio > 0 else _("Take {share} off every number until the next session.")  # fmt: skip
            lines.append(change.format(share=f"{number(abs(100 * whole.ratio), 0)} %"))
        lines.append(_("Look for a reason: another ball, other wedges or grooves, a changed swing?"))
    for club, swing, count in found.more:
        said = ngettext("Hit {count} more ball with {shot}.", "Hit {count} more balls with {shot}.", count)
        lines.append(said.format(count=count, shot=f"{club} {swing}"))
    return lines


def left_out_words(found: Recheck) -> str:
    """Balls that tell nothing about the old chart; empty where there are none."""
    if not found.left_out:
        return ""
    return ngettext(
        "{count} ball was left out: shots the old chart does not have, or distances to where the ball lay.",
        "{count} balls were left out: shots the old chart does not have, or distances to where the ball lay.",
        found.left_out,
    ).format(count=found.left_out)


def moved_words(shift: Shift, unit: DistanceUnit) -> str:
    """The shift with its doubt: "+2 ± 2 yd"."""
    half = from_metres(shift.ratio90.half * shift.old_carry_m, unit)
    return f"{words.signed(from_metres(shift.moved_m, unit))} ± {max(1, round(half))} {unit}"


def _percent(share: float) -> str:
    return f"{number(100 * share, 0, sign=True)} %"
