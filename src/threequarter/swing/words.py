"""What is said of a swing: how far back and through on the body and on the clock, whether through matches back, tempo, hand speed,
meant and filmed. Messages from the numbers of an answer, so that what was kept can be said again; one function for each thing,
the same for page, print and command."""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import hypot
from statistics import fmean, stdev
from typing import Any, Final, Literal

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.swing_length import parse_swing

Answer = Mapping[str, Any]
LEVELS: Final[dict[str, float]] = {"knee": -0.8, "waist": 0.2, "chest": 0.7, "shoulder": 1.0}
"""Hand height (0 hip joints, 1 shoulder joints) of the body levels players name; a player may have others (`calibrated`)."""
ABOVE: Final = 0.18
"""Above the shoulder from so far over it."""
CLEAR: Final = 0.3
"""Share of the gap to the neighbour within which a height still is the level itself; further off it is between."""
LEAST_GAP: Final = 0.08
FULL: Final = 1.3
MATCHED_DEG: Final = 8.0
"""Through matches back where the square arm's angles differ by no more: within it a coach calls them the same (common practice,
no source)."""
SHORT_DEG: Final = 11.5
"""Shorter from half-way between a match and a swing that is 15 degrees short, and only where the doubt leaves no match of angles."""
LONG_DEG: Final = 14.0
MOST_DOUBT_DEG: Final = 10.0
"""With more doubt than this a match is not told."""
OLD_DOUBT_DEG: Final = 6.0
MEANT_DEG: Final = 8.0
MEANT_HEIGHT: Final = 0.12
AS_LONG_DEG: Final = 15.0
"""Swings whose lead arm went back as far within this are of one length: half the way from one body level to the next."""
LEAST_OWN: Final = 3

OwnTempo = tuple[float, float]
"""The lead arm at the top (degrees) and the tempo of one of the player's own swings."""

Matched = Literal["matches", "shorter", "longer", "unknown"]


@dataclass(frozen=True, slots=True)
class Lengths:
    """What swing lengths mean to a player: the hand heights of the body levels (as `LEVELS`), and where the lead arm points at the top
    in those told in degrees from hanging down, by their key (see `parse_swing`)."""

    heights: Mapping[str, float] = field(default_factory=lambda: LEVELS)
    arms_deg: Mapping[str, float] = field(default_factory=dict)


USUAL: Final = Lengths()


@dataclass(frozen=True, slots=True)
class Match:
    """How the way through compares with the way back: degrees further through (negative: less far) with a 90 % half-width; None
    where either end was not measured."""

    kind: Matched
    by_deg: float | None = None
    doubt_deg: float | None = None


def match(swing: Answer) -> Match:
    """Whether through matches back, by the lead arm's angles as a square camera would show them."""
    square = [swing.get(f"lead_arm_{end}_square_deg") for end in ("top", "finish")]
    filmed = [swing.get(f"lead_arm_{end}_deg") for end in ("top", "finish")]
    top, finish = square if None not in square else filmed
    if top is None or finish is None:
        return Match("unknown")
    by, doubts = float(finish) - float(top), swing.get("doubt90") or {}
    doubt = doubts.get("match_deg")
    if doubt is None:  # kept by release 0.1.0
        doubt = hypot(*(doubts.get(f"lead_arm_{end}_square_deg", OLD_DOUBT_DEG) for end in ("top", "finish")))
    return Match(_kind(by, float(doubt)), by, float(doubt))


def _kind(by: float, doubt: float) -> Matched:
    if by < -SHORT_DEG and by + doubt < 0:
        return "shorter"
    if by > LONG_DEG and by - doubt > 0:
        return "longer"
    return "matches" if abs(by) <= MATCHED_DEG and doubt <= MOST_DOUBT_DEG else "unknown"


def match_words(found: Match) -> Message:
    """The match in words."""
    if found.by_deg is None:
        return Message("swing.match_not_seen")
    if found.kind in ("shorter", "longer"):
        return Message(f"swing.through_{found.kind}", by_deg=round(abs(found.by_deg)), doubt_deg=found.doubt_deg)
    return Message("swing.through_matches" if found.kind == "matches" else "swing.match_unknown")


def calibrated(poses: Mapping[str, float], levels: Mapping[str, float] = LEVELS) -> dict[str, float]:
    """A player's own levels from poses ("this is my chest": the hand height measured there). The levels in between that were not
    posed move with their neighbours.

    Raises UserError for a level of no known name, or poses out of order.
    """
    if unknown := set(poses) - set(levels):
        raise UserError(
            Message("swing.no_level", name=", ".join(sorted(unknown)), known=tuple(_level(n) for n in levels))
        )
    order = sorted(levels, key=lambda name: levels[name])
    posed = [name for name in order if name in poses]
    if any(poses[b] - poses[a] < LEAST_GAP for a, b in itertools.pairwise(posed)):
        raise UserError(Message("swing.levels_crossed", names=tuple(_level(name) for name in posed)))
    if not posed:
        return dict(levels)
    found = {}
    for name in order:
        below = [one for one in posed if levels[one] <= levels[name]]
        above = [one for one in posed if levels[one] >= levels[name]]
        if below and above and below[-1] != above[0]:
            low, high = below[-1], above[0]
            share = (levels[name] - levels[low]) / (levels[high] - levels[low])
            found[name] = poses[low] + share * (poses[high] - poses[low])
        else:
            near = below[-1] if below else above[0]
            found[name] = levels[name] + poses[near] - levels[near]
    return found


def level(height: float, levels: Mapping[str, float] = LEVELS) -> Message:
    """ "waist", "between waist and chest", "above the shoulder"."""
    if height >= levels["shoulder"] + ABOVE:
        return Message("swing.above_shoulder")
    low, high = _between(height, levels)
    return _level(low) if low == high else Message("swing.between", low=_level(low), high=_level(high))


def _level(name: str) -> Message:
    return Message(f"swing.level_{name}")


def _between(height: float, levels: Mapping[str, float]) -> tuple[str, str]:
    """The levels a height lies between, by their names; twice the same where it is one of them."""
    order = sorted(levels.items(), key=lambda one: one[1])
    if height <= order[0][1]:
        return order[0][0], order[0][0]
    for (low, a), (high, b) in itertools.pairwise(order):
        if a <= height < b:
            share = (height - a) / (b - a)
            return (low, low) if share < CLEAR else (high, high) if share > 1 - CLEAR else (low, high)
    return order[-1][0], order[-1][0]


def clock(arm_deg: float, *, through: bool = False) -> str:
    """The hand of a clock that the lead arm points to as the camera sees a right-hander: 75° back is 8:30, through 3:30."""
    hours = 6 - arm_deg / 30 if through else 6 + arm_deg / 30
    minutes = round(hours * 6) * 10
    hour, rest = divmod(minutes, 60)
    return f"{(hour - 1) % 12 + 1}:{rest:02d}"


def end_words(swing: Answer, end: Literal["top", "finish"], own: Lengths = USUAL) -> Message:
    """How far the swing went at one end: body level and clock."""
    height, arm = swing.get(f"hand_height_{end}"), swing.get(f"lead_arm_{end}_deg")
    if height is None or arm is None:
        return Message("swing.end_not_seen")
    return Message("swing.end", level=level(height, own.heights), clock=clock(arm, through=end == "finish"))


def say(swing: Answer, own: Lengths = USUAL) -> list[Message]:
    """What to tell of one swing, most useful first; with what was meant, where the answer names it (`felt`)."""
    lines = [
        Message("swing.lengths", back=end_words(swing, "top", own), through=end_words(swing, "finish", own)),
        match_words(match(swing)),
    ]
    if (tempo := swing.get("tempo_ratio")) is not None:
        lines.append(Message("swing.tempo", times=float(tempo)))
    if (took := to_ball_s(swing)) is not None:
        lines.append(Message("swing.to_ball", took_s=took))
    if (share := swing.get("impact_over_peak")) is not None:
        lines.append(Message("swing.hand_speed", peak_share=float(share)))
    if swing.get("struck") == "practice":
        lines.append(Message("swing.practice"))
    if swing.get("felt"):
        lines.append(meant_words(swing, swing["felt"], own))
    return lines


def to_ball_s(swing: Answer) -> float | None:
    """True seconds from takeaway to ball; None where the takeaway or the clip's clock is not known."""
    if "to_ball_s" in swing:
        return None if swing["to_ball_s"] is None else float(swing["to_ball_s"])
    if swing.get("t_takeaway_s") is None or swing.get("t_impact_s") is None:
        return None
    return float(swing["t_impact_s"]) - float(swing["t_takeaway_s"])


def meant_words(swing: Answer, meant: str, own: Lengths = USUAL) -> Message:
    """What the player meant beside what was filmed. Raises UserError for a length that a camera cannot see."""
    length, levels = parse_swing(meant), own.heights
    angle = own.arms_deg.get(length.key, None if length.hour is None else 30 * (length.hour - 6))
    arm, height = swing.get("lead_arm_top_deg"), swing.get("hand_height_top")
    heights = dict(levels) | {"full": levels["shoulder"] + FULL - LEVELS["shoulder"]}
    if angle is None and length.key not in heights:
        raise UserError(Message("swing.no_length", meant=meant))
    if arm is None or height is None:
        return Message("swing.meant_not_seen", meant=meant)
    doubt = swing.get("doubt90") or {}
    if angle is not None:
        off, wide = arm - angle, max(MEANT_DEG, doubt.get("lead_arm_top_deg", 0.0))
        filmed = clock(arm) if length.kind == "clock" else Message("swing.arm", arm_deg=float(arm))
        return _beside(meant, filmed, off, abs(off) < wide)
    off, wide = height - heights[length.key], max(MEANT_HEIGHT, doubt.get("hand_height_top", 0.0))
    there = height < levels["shoulder"] + ABOVE and _between(height, levels) == (length.key, length.key)
    return _beside(meant, level(height, levels), off, there or abs(off) < wide)


def _beside(meant: str, filmed: str | Message, off: float, same: bool) -> Message:
    code = "swing.meant_same" if same else "swing.meant_longer" if off > 0 else "swing.meant_shorter"
    return Message(code, meant=meant, filmed=filmed)


Tempo = Literal["usual", "slower_back", "quicker_back"]


def own_tempo(swing: Answer, own: Sequence[OwnTempo]) -> list[float]:
    """The player's own tempos of swings about as long as this one: for one length a player's tempo changes little, from one length
    to another it does (common practice, no source)."""
    arm = swing.get("lead_arm_top_deg")
    return [] if arm is None else [tempo for other, tempo in own if abs(other - float(arm)) <= AS_LONG_DEG]


def tempo_kind(swing: Answer, own: Sequence[OwnTempo]) -> Tempo | None:
    """Whether a swing's tempo is the player's usual one, judged by its doubt and the spread of the player's own; None where it was not
    measured, or for fewer than three of the same length. Prediction interval of a normal, 90 % (Student's t)."""
    from scipy.special import stdtrit

    tempo, like = swing.get("tempo_ratio"), own_tempo(swing, own)
    if tempo is None or len(like) < LEAST_OWN:
        return None
    usual = fmean(like)
    spread = float(stdtrit(len(like) - 1, 0.95)) * stdev(like) * (1 + 1 / len(like)) ** 0.5
    off = float(tempo) - usual
    if abs(off) <= hypot((swing.get("doubt90") or {}).get("tempo_ratio", 0.0), spread):
        return "usual"
    return "slower_back" if off > 0 else "quicker_back"


def tempo_beside(swing: Answer, own: Sequence[OwnTempo]) -> Message | None:
    """A swing's tempo beside the player's own usual one; None where `tempo_kind` is."""
    kind = tempo_kind(swing, own)
    like = own_tempo(swing, own)
    return Message(f"swing.tempo_{kind}", usual=fmean(like), count=len(like)) if kind else None


def lesson_tempo(swings: Sequence[Answer], own: Sequence[Sequence[OwnTempo]]) -> list[Message]:
    """The tempo of a lesson's swings against the player's own of other clips (`own`, a row for each swing), in a line: how many were as
    usual, and which way the others went where they are more than the few that chance leaves. Nothing for fewer than three."""
    kinds = [tempo_kind(swing, of) for swing, of in zip(swings, own, strict=True) if swing.get("struck") != "practice"]
    told = [kind for kind in kinds if kind]
    if len(told) < LEAST_OWN:
        return []
    usual, slower = told.count("usual"), told.count("slower_back")
    lines = [Message("swing.lesson_tempo", usual=usual, told=len(told))]
    if len(told) - usual >= max(2.0, len(told) / 4):
        lines.append(Message("swing.lesson_tempo_off", slower=slower, quicker=len(told) - usual - slower))
    return lines


def alike(swings: Sequence[Answer], own: Lengths = USUAL) -> Message | None:
    """How alike the swings of a clip were; None for fewer than three that were measured."""
    seen = [
        swing
        for swing in swings
        if swing.get("lead_arm_top_deg") is not None and swing.get("hand_height_top") is not None
    ]
    if len(seen) < 3:
        return None
    heights = sorted(float(swing["hand_height_top"]) for swing in seen)
    arms = sorted(float(swing["lead_arm_top_deg"]) for swing in seen)
    matches = sum(match(swing).kind == "matches" for swing in swings)
    return Message(
        "swing.alike",
        count=len(swings),
        low_deg=arms[0],
        high_deg=arms[-1],
        lowest=level(heights[0], own.heights),
        highest=level(heights[-1], own.heights),
        matches=matches,
    )


def lesson_words(swings: Sequence[Answer]) -> list[Message]:
    """All swings of a lesson in a line or two: how many, and in how many through matched back, fell short or cannot be told."""
    struck = [swing for swing in swings if swing.get("struck") != "practice"]
    kinds = [match(swing).kind for swing in struck]
    told = len(kinds) - kinds.count("unknown")
    lines = [Message("swing.filmed", count=len(struck))]
    if told:
        lines.append(
            Message("swing.lesson_match", matched=kinds.count("matches"), shorter=kinds.count("shorter"), told=told)
        )
    if unknown := kinds.count("unknown"):
        lines.append(Message("swing.lesson_unknown", unknown=unknown))
    return lines
