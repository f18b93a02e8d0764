"""Whether a chart still holds, as plain JSON and in lines; the one place that words a verdict."""

from typing import Any

from threequarter.golf.message import Message
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import line, lines, words
from threequarter.language.localize import _
from threequarter.practice.recheck import Recheck, Shift, Verdict, shift_told, told


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
        "group": line(shift.group),
        "verdict": shift.verdict,
        "balls": shift.balls,
        "percent": round(100 * shift.ratio, 2),
        "percent90": [round(100 * shift.ratio90.low, 2), round(100 * shift.ratio90.high, 2)],
        "moved": round(from_metres(shift.moved_m, unit), 2),
        "words": line(shift_told(shift), unit),
    }


def verdict_words(verdict: Verdict) -> str:
    """The verdict in a word or three."""
    return {
        "holds": _("The chart still holds."),
        "moved": _("It moved."),
        "not known yet": _("Too early to say."),
    }[verdict]


def recheck_lines(found: Recheck, unit: DistanceUnit) -> list[str]:
    """The verdict, how much, and what to do with it."""
    said = [one for one in told(found) if one.code != "recheck.left_out"]
    return [verdict_words(found.verdict), *lines(said, unit)]


def left_out_words(found: Recheck) -> str:
    """Balls that tell nothing about the old chart; empty where there are none."""
    return line(Message("recheck.left_out", left_out=found.left_out)) if found.left_out else ""


def moved_words(shift: Shift, unit: DistanceUnit) -> str:
    """The shift with its doubt: "+2 ± 2 yd"."""
    half = from_metres(shift.ratio90.half * shift.old_carry_m, unit)
    return f"{words.signed(from_metres(shift.moved_m, unit))} ± {max(1, round(half))} {unit}"
