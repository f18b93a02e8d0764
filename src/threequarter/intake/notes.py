"""Balls typed as plain words: "54 waist 51 53 fat 38", a line a shot, or one after the other.

Rules, each said back in the plan: a club and a swing hold until the next is named; a number is a distance; a strike word
belongs to the number after it if one follows directly, else to the number before it ("38 fat"); "5L" after a number is its
side. "ten balls, middle of the pile at 44 by laser" or "pile of 10 at 44" is one reading of a pile.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy, Place, Strike
from threequarter.golf.club import parse_club
from threequarter.golf.errors import UserError
from threequarter.golf.swing_length import Clock, parse_swing
from threequarter.golf.units import FOOT_M, YARD_M
from threequarter.intake import words as vocabulary
from threequarter.intake.decode import fold
from threequarter.intake.measuring import StepLength, error_sd_m
from threequarter.intake.reading import Question, Reading, SetAside
from threequarter.intake.values import side_of

_UNITS: Final = {"yd": YARD_M, "m": 1.0, "ft": FOOT_M}
_STRIKES: Final = {fold(word): Strike(kind) for kind, names in vocabulary.STRIKES.items() for word in names}
_COUNTS: Final = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
                  "twelve": 12, "fifteen": 15, "twenty": 20, "dozen": 12}  # fmt: skip
_PILE = re.compile(
    r"(?:(?P<n>\d+|[a-z]+)\s+balls?\W+)?(?:the\s+)?(?:middle|centre|center)(?:\s+of)?(?:\s+the)?\s*(?:pile)?\s*(?:at|is|:|=)?\s*(?P<at>\d+(?:[.,]\d+)?)"
    r"|pile(?:\s+of\s+(?P<n2>\d+|[a-z]+))?(?:\s+balls?)?\W*(?:at|:|=)?\s*(?P<at2>\d+(?:[.,]\d+)?)"
)
_NUMBER = re.compile(r"^(?P<value>\d+(?:[.,]\d+)?)(?P<tail>[a-zäöüéè°%']*)$")
_BY: Final = {"laser": MeasuredBy.LASER, "lasered": MeasuredBy.LASER, "paces": MeasuredBy.PACES, "paced": MeasuredBy.PACES,
              "steps": MeasuredBy.PACES, "device": MeasuredBy.DEVICE, "pile": MeasuredBy.PILE, "gps": MeasuredBy.POSITION,
              "position": MeasuredBy.POSITION}  # fmt: skip
_UNIT_WORDS: Final = {"yd": "yd", "yds": "yd", "yards": "yd", "yard": "yd", "y": "yd", "m": "m", "metres": "m", "meters": "m",
                      "metre": "m", "meter": "m", "ft": "ft", "feet": "ft"}  # fmt: skip
_SILENT: Final = frozenset("to the a an at by with of and in is was carry carried good then".split())
_COMMON_LOFTS: Final = range(44, 65)


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteOptions:
    """How the notes were measured. `unit` is the unit of the numbers; paces are paces whatever the unit says."""

    unit: str | None = None
    measured_as: MeasuredAs | None = None
    by: MeasuredBy = MeasuredBy.UNKNOWN
    step: StepLength = field(default_factory=StepLength)
    player: str | None = None
    clock: Clock = "camera"


@dataclass(slots=True)
class _Line:
    """What holds while tokens are read."""

    club: str | None = None
    swing: str | None = None
    strike: Strike | None = None
    day: int = 1
    by: MeasuredBy = MeasuredBy.UNKNOWN
    unit: str | None = None
    player: str | None = None
    balls: list[Ball] = field(default_factory=list)


def read_notes(text: str, options: NoteOptions | None = None, name: str = "notes") -> Reading:
    """Balls from typed words. Lines that cannot be understood are set aside with their number and the reason.

    No distance at all, or a ball before any club, gives an `error`; a unit that was told nowhere is asked for.
    """
    options = options or NoteOptions()
    state = _Line(by=options.by, unit=options.unit, player=options.player)
    aside: list[SetAside] = []
    try:
        for number, line in enumerate(text.splitlines(), start=1):
            plain = line.split("#", 1)[0].strip() if line.lstrip().startswith("#") else line.strip()
            if plain:
                _take(state, plain, number, aside)
    except UserError as error:
        return Reading(error=str(error), name=name)
    if not state.balls:
        return Reading(error=f"{name}: no distance was found. Write it as: 54 waist 51 53 fat 38", name=name)
    unit = state.unit
    asked = (
        ()
        if unit or state.by is MeasuredBy.PACES
        else (
            Question(about="unit", text="Are these yards, metres or feet?", option="--unit", choices=("yd", "m", "ft")),
        )
    )
    balls = tuple(replace(ball, number=i) for i, ball in enumerate(_measured(state, options), start=1))
    return Reading(balls=balls, set_aside=tuple(aside), questions=asked, plan=tuple(_plan(balls, state, options)),
                   unit="m" if unit == "m" else "yd", name=name)  # fmt: skip


def _take(state: _Line, line: str, number: int, aside: list[SetAside]) -> None:
    if match := re.match(r"^(?:player|name)\s*[:=]\s*(.+)$", line, re.IGNORECASE):
        state.player = match[1].strip()
        return
    if match := re.match(r"^day\s*[:=]?\s*(\d+)$", line, re.IGNORECASE):
        state.day = int(match[1])
        return
    plain = fold(line)
    if pile := _PILE.search(plain):
        _labels_only(state, plain[: pile.start()], number)
        _pile(state, pile, plain, number)
        return
    _tokens(state, line, number, aside)


def _labels_only(state: _Line, text: str, number: int) -> None:
    for token in text.replace(",", " ").split():
        if parse_club(token).known and not (token.isdigit() and state.club and int(token) not in _COMMON_LOFTS):
            state.club = token
        elif parse_swing(token).kind != "own":
            state.swing = token


def _pile(state: _Line, match: re.Match[str], line: str, number: int) -> None:
    _need_club(state, number)
    told = match["n"] or match["n2"] or ""
    count = int(told) if told.isdigit() else _COUNTS.get(told, 10)
    at = float((match["at"] or match["at2"]).replace(",", "."))
    _note_how(state, line)
    state.balls.append(_ball(state, at, number, None, count=count, by=MeasuredBy.PILE))


def _note_how(state: _Line, line: str) -> None:
    for token in re.findall(r"[a-z]+", line):
        if (token in _UNIT_WORDS and token not in ("y", "m")) or (
            token in ("m", "y") and re.search(rf"\d\s*{token}\b", line)
        ):
            state.unit = _UNIT_WORDS[token]


def _tokens(state: _Line, line: str, number: int, aside: list[SetAside]) -> None:
    """Token by token; a number is a club's loft only where a club may stand: at the start, or before a swing."""
    tokens = re.sub(r"(?<!\d)[,;]|[,;](?!\d)", " ", line).split()
    place, start = 0, len(state.balls)
    state.strike = None
    while place < len(tokens):
        token = fold(tokens[place]).strip(".;")
        after = [fold(t).strip(".,;") for t in tokens[place + 1 : place + 3]]
        if token in _STRIKES and token not in ("s", "l"):
            _strike(state, _STRIKES[token], after)
        elif token in _BY:
            state.by = _BY[token]
        elif token in _UNIT_WORDS and state.balls:
            state.unit = _UNIT_WORDS[token]
        elif side_of(token) is not None and len(token) > 1 and state.balls:
            pass
        elif (used := _swing_at(state, tokens, place)) or (used := _club_at(state, tokens, place, after)):
            place += used - 1
        elif match := _NUMBER.match(token):
            _distance(state, match, after, number)
        elif token not in _SILENT:
            if not _own_swing(state, token, line, number, aside):
                del state.balls[start:]  # the whole line is set aside, so that nothing of it is half read
                aside.append(SetAside(place=Place(row=number), why=f"{token!r} is not understood", text=line[:200]))
            return
        place += 1


def _strike(state: _Line, strike: Strike, after: Sequence[str]) -> None:
    if after and _NUMBER.match(after[0]) and not (len(after) > 1 and parse_swing(after[1]).kind != "own"):
        state.strike = strike
    elif state.balls:
        state.balls[-1] = replace(state.balls[-1], strike=strike)


def _swing_at(state: _Line, tokens: Sequence[str], place: int) -> int:
    """How many tokens from here on name a swing length; longest first. A bare number never does."""
    for length in (3, 2, 1):
        text = " ".join(tokens[place : place + length]).strip(".,;")
        if len(tokens[place : place + length]) == length and parse_swing(text).kind != "own" and not text.isdigit():
            if length > 1 and not any(letter.isalpha() for letter in tokens[place + length - 1]):
                continue
            state.swing = text
            return length
    return 0


def _club_at(state: _Line, tokens: Sequence[str], place: int, after: Sequence[str]) -> int:
    for length in (2, 1):
        text = " ".join(tokens[place : place + length]).strip(".,;")
        parsed = parse_club(text)
        bare = re.fullmatch(r"\d{2}", text) is not None
        if len(tokens[place : place + length]) < length or not parsed.known:
            continue
        if bare:
            starts = place == 0 and int(text) in _COMMON_LOFTS and len(tokens) > 1
            named = bool(after) and parse_swing(after[0]).kind != "own" and not after[0].isdigit()
            if not (starts or named):
                continue
        elif (
            length == 2
            and (
                any(re.fullmatch(r"\d+[a-z]+", fold(t)) for t in tokens[place : place + 2])
                or parsed.kind is None
                or not re.search(r"\d{2}|wedge", text, re.IGNORECASE)
            )
        ) or (re.fullmatch(r"\d+([.,]\d+)?[a-z]?", fold(text)) and "°" not in text):
            continue
        if state.club is not None and text != state.club and place > 0:
            state.swing = None
        state.club = text
        return length
    return 0


def _distance(state: _Line, match: re.Match[str], after: Sequence[str], number: int) -> None:
    _need_club(state, number)
    tail, value = match["tail"], float(match["value"].replace(",", "."))
    if tail in _UNIT_WORDS:
        state.unit = _UNIT_WORDS[tail]
    elif tail and (side := side_of(tail)) is not None and state.balls:
        scale = _UNITS[state.unit or "yd"]
        state.balls[-1] = replace(state.balls[-1], offline_m=side * value * scale)
        return
    elif tail:
        raise UserError(
            f"Line {number}: {match[0]!r} is neither a distance nor a side. Write 54 for a distance, 5L for a side."
        )
    state.balls.append(_ball(state, value, number, state.strike))
    state.strike = None


def _ball(
    state: _Line, value: float, number: int, strike: Strike | None, *, count: int = 1, by: MeasuredBy | None = None
) -> Ball:
    return Ball(
        number=len(state.balls) + 1, club=state.club or "", swing=state.swing or "", distance_m=value, strike=strike,
        loft_deg=parse_club(state.club or "").loft_deg, day=state.day, player=state.player, count=count,
        measured_by=by or state.by, place=Place(row=number),
    )  # fmt: skip


def _need_club(state: _Line, number: int) -> None:
    if state.club is None:
        raise UserError(
            f"Line {number}: a distance stands before any club. Begin with the club and the swing: 54 waist 51 53"
        )
    if state.swing is None:
        raise UserError(
            f"Line {number}: no swing length is named for the {state.club}. Write it after the club: {state.club} waist 51 53"
        )


def _own_swing(state: _Line, token: str, line: str, number: int, aside: list[SetAside]) -> bool:
    """A word of the player's own right after the club names the swing; reads on behind it. False for any other word."""
    before = fold(line).split(token, 1)[0].split()
    club = fold(state.club).split() if state.club else []
    if not (token.isalpha() and club and before[-len(club) :] == club):
        return False
    state.swing = token
    if rest := line[fold(line).index(token) + len(token) :].strip():
        _tokens(state, rest, number, aside)
    return True


def _measured(state: _Line, options: NoteOptions) -> list[Ball]:
    """Numbers as written -> metres, with the error of how they were measured, and carry or rest."""
    scale = _UNITS[state.unit or "yd"]
    balls = []
    for ball in state.balls:
        by = ball.measured_by if ball.measured_by is not MeasuredBy.UNKNOWN else state.by
        factor = options.step.pace_m if by is MeasuredBy.PACES else scale
        metres = ball.distance_m * factor
        usual = MeasuredAs.CARRY if by in (MeasuredBy.DEVICE, MeasuredBy.UNKNOWN) else MeasuredAs.REST
        balls.append(
            replace(ball, distance_m=metres, measured_by=by, measured_as=options.measured_as or usual,
                    error_sd_m=error_sd_m(by, metres) or None)
        )  # fmt: skip
    return balls


def _plan(balls: Sequence[Ball], state: _Line, options: NoteOptions) -> list[str]:
    shots = list(dict.fromkeys(f"{ball.club} {ball.swing}" for ball in balls))
    as_rest = sum(ball.measured_as is MeasuredAs.REST for ball in balls)
    lines = [
        f"{sum(b.count for b in balls)} balls with {', '.join(shots)}",
        f"measured by {balls[0].measured_by.value}",
    ]
    if as_rest:
        lines.append("distances are to where the ball lies; a run-out with doubt is taken off")
    if any(ball.measured_by is MeasuredBy.PACES for ball in balls):
        lines.append(f"a pace is {options.step.pace_m:.2f} m")
    if struck := [ball.strike.value for ball in balls if ball.strike]:
        lines.append(f"noted strikes: {', '.join(struck)}")
    return lines
