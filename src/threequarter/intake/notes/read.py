"""Balls typed as plain words: "54 waist 51 53 fat 38", a line a shot, or one after the other.

The rules, each said back in the plan:

- A club and a swing length hold until the next is named, on the same line or on a later one.
- A bare number is a club only where a swing length follows it ("56 chest") at the start of a line or behind a comma or
  a semicolon; otherwise it is a distance. "56°" and "sand wedge" are clubs anywhere.
- A strike word (fat, thin, toe, heel, heavy) belongs to the number right after it; to the number before it where a comma,
  a bracket, the line's end or a word comes next. So does left and right: "51 5L", "51 left 5".
- A way of measuring, a unit, carry or rest holds for its line; on a line of its own, from there on.
- "ten balls, middle of the pile at 44 by laser" and "pile of 10 at 44" are one reading of a pile.
- "player: Ada Quill", "day 2"; a # begins a comment.

A line that can be read two ways, or has a word without a meaning, is set aside whole with the reason; nothing of it is used.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy, Place, Strike
from threequarter.golf.club import club_key, grip_to_club, parse_club
from threequarter.golf.message import Message
from threequarter.golf.swing_length import Clock
from threequarter.intake.notes import words as nw
from threequarter.intake.notes.words import NotUnderstoodError, Word
from threequarter.intake.reading import Question, Reading, SetAside
from threequarter.intake.tables.values import LEAST_CARRY_M, MOST_CARRY_M
from threequarter.measurement.errors import StepLength, error_sd_m, shared_sd_m

_MOST_SIDE: Final = 0.8
"""More to the side than this share of the distance is a misread line, not a ball."""
_EXAMPLE: Final = "54 waist 51 53 fat 38"


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteOptions:
    """How the notes were measured where they do not tell. `unit` is the unit of the numbers (paces are paces).
    `listed`: a line that is a club and nothing more heads those below."""

    unit: str | None = None
    measured_as: MeasuredAs | None = None
    by: MeasuredBy = MeasuredBy.UNKNOWN
    step: StepLength = field(default_factory=StepLength)
    player: str | None = None
    clock: Clock = "camera"
    listed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shot:
    """A ball as written: numbers in the unit of the notes."""

    line: int
    col: int
    club: str
    swing: str
    value: float
    unit: str | None = None
    side: float | None = None
    side_unit: str | None = None
    strike: Strike | None = None
    count: int = 1


@dataclass(slots=True)
class _State:
    """What holds at a point of the notes, and what this line has told."""

    clock: Clock
    club: str | None = None
    swing: str | None = None
    player: str | None = None
    day: int = 1
    by: MeasuredBy = MeasuredBy.UNKNOWN
    unit: str | None = None
    measured_as: str | None = None
    clubs: set[str] = field(default_factory=set)
    own_swings: set[str] = field(default_factory=set)


def read_notes(text: str, options: NoteOptions | None = None, name: str = "notes") -> Reading:
    """Balls from typed words. `place` of a ball is its line and the number of its word in that line, both from 1.

    Lines that cannot be understood are set aside with their number and the reason; where no line holds a ball, `error`
    says why. A unit of length that was told nowhere is asked for.
    """
    options = options or NoteOptions()
    state = _State(clock=options.clock, player=options.player, by=options.by, measured_as=options.measured_as)
    found: list[tuple[_Shot, _State]] = []
    aside: list[SetAside] = []
    lines = text.splitlines()
    for row, line in enumerate(lines, start=1):
        if nw.heads(line, lines[row:], listed=options.listed):
            state.club, state.swing = line.strip(" :"), None
            continue
        trial = replace(state, clubs=set(state.clubs), own_swings=set(state.own_swings))
        try:
            found += _line(trial, line, row)
        except NotUnderstoodError as why:
            if title := nw.title(line):
                state = replace(state, **title.told())
                continue
            aside.append(SetAside(place=Place(row=row), why=why.args[0], text=line.strip()[:200]))
        else:
            state = trial
    unit, asked = _unit(found, options)
    step = 0.1 if any(shot.value % 1 for shot, _ in found) else 1.0
    balls = [_ball(i, shot, said, unit, step, options) for i, (shot, said) in enumerate(found, start=1)]
    kept, far = _plausible(balls)
    aside = sorted([*aside, *far], key=lambda row: row.place.row or 0)
    names = tuple(dict.fromkeys(row.text for row in aside if nw.may_be_a_name(row.text)))
    if len(names) > 1 and options.player is None:
        return Reading(
            set_aside=tuple(aside), error=Message("notes.players", name=name, names=names, first=names[0]), name=name
        )
    if not kept:
        told = {"line": aside[0].place.row, "why": aside[0].why} if aside else {}
        code = "notes.line_write_it_as" if aside else "notes.no_distance_was_found_write"
        error = Message(code, name=name, example=_EXAMPLE, **told)
        return Reading(set_aside=tuple(aside), error=error, name=name)
    question = Question(about="unit", text=Message("notes.ask.unit"), option="--unit", choices=("yd", "m", "ft"))
    plan = _plan(kept, found, unit, asked, options.step)
    return Reading(
        balls=tuple(kept),
        set_aside=tuple(aside),
        questions=(question,) if asked else (),
        plan=tuple(plan),
        unit="m" if unit == "m" else "yd",
        name=name,
    )


def _line(state: _State, line: str, number: int) -> list[tuple[_Shot, _State]]:
    if match := re.match(
        r"^\s*(?:player|name|spieler|spielerin)(?:\s*[:=]\s*|\s+)(\S.*?)\s*(?:#.*)?$", line, re.IGNORECASE
    ):
        state.player = match[1]
        return []
    if match := re.match(r"^\s*(?:day|tag)\s*[:=]?\s*(\d+)\s*(?:#.*)?$", line, re.IGNORECASE):
        state.day = int(match[1])
        return []
    pile = nw.pile(line)
    said = replace(state)
    if pile:
        _labels(said, pile.before)
        shots = [_pile_shot(said, pile, number)]
        _labels(said, pile.after)
    else:
        shots = _shots(said, nw.split(line), number)
    state.club, state.swing = said.club, said.swing
    state.clubs, state.own_swings = said.clubs, said.own_swings
    if not shots:  # on a line of its own it holds from here on
        state.by, state.unit, state.measured_as = said.by, said.unit, said.measured_as
    return [(shot, said) for shot in shots]


def _labels(state: _State, text: str) -> None:
    """Words around a pile: club, swing, how it was measured; no distance."""
    if _shots(state, nw.split(text), 0):
        raise NotUnderstoodError(Message("notes.a_pile_stands_on_a"))


def _pile_shot(state: _State, pile: nw.Pile, number: int) -> _Shot:
    if pile.count is None:
        raise NotUnderstoodError(Message("notes.how_many_balls_lie_in"))
    if not 2 <= pile.count <= 200:
        raise NotUnderstoodError(Message("notes.a_pile_of_is_none", count=pile.count))
    club, swing = _need(state)
    return _Shot(line=number, col=1, club=club, swing=swing, value=pile.at, count=pile.count)


def _shots(state: _State, words: Sequence[Word], line: int) -> list[_Shot]:
    """The balls of a line, word by word."""
    shots: list[_Shot] = []
    strike: Strike | None = None
    side = 0
    place = 0
    if (
        len(words) > 1
        and nw.is_loft(words[0])
        and words[0].plain in state.clubs
        and all(one.plain[0].isdigit() for one in words[:2])
    ):
        raise NotUnderstoodError(Message("notes.is_one_of_the_clubs", word=words[0].text))
    while place < len(words):
        word = words[place]
        plain = word.plain
        following = nw.number(words[place + 1]) if place + 1 < len(words) and not word.ends else None
        if taken := _club(state, words, place, bool(shots)) or _swing(state, words, place):
            place += taken
            continue
        if found := nw.number(word):
            if side or found.side:
                _add_side(shots, found, side or found.side or 0)
                side = 0
            else:
                club, swing = _need(state, found.value)
                shot = _Shot(line=line, col=word.col, club=club, swing=swing, value=found.value, unit=found.unit)
                shots.append(replace(shot, strike=strike))
                strike = None
        elif plain in nw.SIDES and following:
            side = nw.SIDES[plain]
        elif plain in nw.SIDES:
            _turn_to_side(shots, nw.SIDES[plain])
        elif plain in nw.STRIKES and following and following.side is None:
            strike = nw.STRIKES[plain]
        elif plain in nw.STRIKES:
            if not shots or shots[-1].strike not in (None, nw.STRIKES[plain]):
                raise NotUnderstoodError(Message("notes.belongs_to_no_distance_write", word=word.text))
            shots[-1] = replace(shots[-1], strike=nw.STRIKES[plain])
        elif unit := nw.unit(plain):
            if shots and place and nw.number(words[place - 1]):
                shots[-1] = replace(shots[-1], unit=unit)
            state.unit = unit
        elif plain in nw.BY:
            state.by = nw.BY[plain]
        elif plain in nw.AS:
            state.measured_as = nw.AS[plain]
        elif plain not in nw.SILENT:
            raise NotUnderstoodError(Message("notes.is_not_understood", word=word.text))
        place += 1
    return shots


def _club(state: _State, words: Sequence[Word], place: int, after_ball: bool) -> int:
    word = words[place]
    length = nw.club_at(words, place, state.clock)
    bare = not length and nw.is_loft(word)
    if bare and place + 1 < len(words) and not word.ends:
        if nw.swing_at(words, place + 1, state.clock):
            if after_ball and not words[place - 1].ends:
                raise NotUnderstoodError(Message("notes.is_a_distance_or_the", word=word.text))
            length = 1
        elif place == 0 and nw.plain_word(words[1]):
            known = word.plain in state.clubs or words[1].plain in state.own_swings
            if state.club is not None and not known:
                raise NotUnderstoodError(Message("notes.is_a_club_write_else", word=word.text, next=words[1].text))
            length = 1
    if bare and not length and place == 0 and word.text.endswith(":"):
        length = 1
    if not length:
        return 0
    state.club = nw.label(words[place : place + length])
    state.clubs.add(nw.label(words[place : place + length]).casefold())
    state.swing = None if after_ball else state.swing
    after = place + length
    if not (after < len(words) and nw.swing_at(words, after, state.clock)):
        length += _own_swing(state, words, after)
    return length


def _own_swing(state: _State, words: Sequence[Word], place: int) -> int:
    """Words without a meaning right behind a club, up to the next number, are the player's own name for the swing."""
    stop = place
    while stop < len(words) and stop < place + 3 and nw.plain_word(words[stop]):
        stop += 1
        if words[stop - 1].ends:
            break
    if stop > place:
        state.swing = nw.label(words[place:stop])
        state.own_swings.add(words[place].plain.rstrip(":"))
    return stop - place


def _swing(state: _State, words: Sequence[Word], place: int) -> int:
    length = nw.swing_at(words, place, state.clock) or (nw.own_swing_of_line(words) if place == 0 and state.club else 0)
    if length:
        state.swing = nw.label(words[place : place + length])
    elif words[place].plain.rstrip(":") in state.own_swings:
        length = 1
        state.swing = nw.label(words[place : place + 1])
    return length


def _need(state: _State, value: float | None = None) -> tuple[str, str]:
    if state.club is None:
        raise NotUnderstoodError(Message("notes.a_distance_stands_before_any"))
    if state.swing is None:
        if value is not None and 6 < value <= 12:
            raise NotUnderstoodError(Message("notes.no_swing_length_is_named", club=state.club, hour=round(value)))
        raise NotUnderstoodError(Message("notes.no_swing_length_is_named_for", club=state.club))
    return grip_to_club(state.club, state.swing)


def _add_side(shots: list[_Shot], found: nw.Number, sign: int) -> None:
    if not shots or shots[-1].side is not None:
        raise NotUnderstoodError(Message("notes.a_side_stands_without_a"))
    shots[-1] = replace(shots[-1], side=sign * found.value, side_unit=found.unit)


def _turn_to_side(shots: list[_Shot], sign: int) -> None:
    """ "51 5 left": the last number was no ball but the side of the ball before."""
    if len(shots) < 2 or shots[-2].line != shots[-1].line or shots[-2].side is not None:
        raise NotUnderstoodError(Message("notes.left_and_right_need_how"))
    last = shots.pop()
    shots[-1] = replace(shots[-1], side=sign * last.value, side_unit=last.unit)


def _unit(found: Sequence[tuple[_Shot, _State]], options: NoteOptions) -> tuple[str, bool]:
    """The unit of the numbers that bear none, and whether it has to be asked for."""
    told = {unit for shot, said in found for unit in (shot.unit, said.unit) if unit and unit != "paces"}
    open_ = [shot for shot, said in found if not (shot.unit or said.unit) and said.by is not MeasuredBy.PACES]
    unit = options.unit or (told.pop() if len(told) == 1 else None)
    return unit or "yd", bool(open_) and unit is None


def _way(shot: _Shot, said: _State) -> MeasuredBy:
    """What a distance was read with: paces where its unit is paces, else what was told."""
    own = shot.unit or said.unit
    return MeasuredBy.PACES if own == "paces" else said.by


def _ball(number: int, shot: _Shot, said: _State, unit: str, step: float, options: NoteOptions) -> Ball:
    """A ball in metres (`step` is what the numbers are rounded to, in their unit), with the error of how it was measured,
    and carry or rest."""
    by, pile = _way(shot, said), shot.count > 1
    own = shot.unit or said.unit
    factors = {**nw.METRES, "paces": options.step.pace_m}
    factor = factors[own or ("paces" if by is MeasuredBy.PACES else unit)]
    metres = shot.value * factor
    to_rest = pile or by in (MeasuredBy.LASER, MeasuredBy.PACES, MeasuredBy.PILE, MeasuredBy.POSITION)
    measured_as = MeasuredAs(said.measured_as) if said.measured_as else MeasuredAs.REST if to_rest else MeasuredAs.CARRY
    return Ball(
        number=number,
        club=shot.club,
        swing=shot.swing,
        distance_m=metres,
        loft_deg=parse_club(shot.club).loft_deg,
        player=said.player,
        day=said.day,
        measured_as=measured_as,
        measured_by=MeasuredBy.PILE if pile else by,
        error_sd_m=error_sd_m(by, metres, pile=pile) or None,
        rounding_m=step * factor,
        shared_sd_m=shared_sd_m(by, metres, options.step) or None,
        offline_m=None if shot.side is None else shot.side * (factors[shot.side_unit] if shot.side_unit else factor),
        strike=shot.strike,
        count=shot.count,
        place=Place(row=shot.line, col=shot.col),
    )


def _plausible(balls: Sequence[Ball]) -> tuple[list[Ball], list[SetAside]]:
    """Lines with a distance or a side that no wedge gives are set aside whole."""
    wrong: dict[int, Message] = {}
    for ball in balls:
        line = ball.place.row if ball.place and ball.place.row else 0
        if not LEAST_CARRY_M <= ball.distance_m <= MOST_CARRY_M:
            wrong[line] = Message("notes.m_is_no_distance_of", distance=ball.distance_m)
        elif ball.offline_m is not None and abs(ball.offline_m) > _MOST_SIDE * ball.distance_m:
            wrong[line] = Message("notes.m_to_the_side_of", side=abs(ball.offline_m), distance=ball.distance_m)
    kept = [ball for ball in balls if ball.place and ball.place.row not in wrong]
    aside = [SetAside(place=Place(row=line), why=why) for line, why in wrong.items()]
    return [replace(ball, number=i) for i, ball in enumerate(kept, start=1)], aside


def _plan(
    balls: Sequence[Ball], found: Sequence[tuple[_Shot, _State]], unit: str, asked: bool, step: StepLength
) -> list[Message]:
    """What was understood: each shot with its numbers as written, then how they were measured."""
    kept = {(ball.place.row, ball.place.col) for ball in balls if ball.place}
    used = [(shot, said) for shot, said in found if (shot.line, shot.col) in kept]
    lines: dict[tuple[str, str], list[Message]] = {}
    for shot, _told in used:
        lines.setdefault((shot.club, shot.swing), []).append(_as_read(shot))
    plan = [Message("notes.shot", shot=f"{c} {s}", numbers=tuple(numbers)) for (c, s), numbers in lines.items()]
    ways = dict.fromkeys(_way(shot, said) for shot, said in used)
    plan += [Message(f"notes.by.{way.value}") for way in ways if way is not MeasuredBy.UNKNOWN]
    if any(ball.measured_as is MeasuredAs.REST for ball in balls):
        plan.append(Message("notes.distances_are_to_where_the"))
    if MeasuredBy.PACES in ways:
        plan.append(Message("notes.a_pace_is_m_to", pace=step.pace_m, share=100 * step.sd))
    units = {shot.unit or said.unit or unit for shot, said in used if _way(shot, said) is not MeasuredBy.PACES}
    plan += (
        [Message(f"notes.unit.{own}") for own in sorted(units)]
        if not asked
        else [Message("notes.numbers_are_taken_for_yards")]
    )
    if len({club_key(club) for club, _swing in lines}) < len({club for club, _swing in lines}):
        plan.append(Message("notes.one_club_is_written_in"))
    return plan


def _as_read(shot: _Shot) -> Message:
    """The number of a shot with what stood beside it."""
    more: list[Message] = []
    if shot.side is not None:
        more.append(Message("notes.right" if shot.side > 0 else "notes.left", distance=abs(shot.side)))
    if shot.strike:
        more.append(Message(f"strike.{shot.strike.value}"))
    if shot.count > 1:
        more.append(Message("notes.pile_of", count=shot.count))
    found = Message("notes.number", distance=shot.value)
    for one in more:
        found = Message("notes.number_and", number=found, more=one)
    return found
