"""What the page of a lesson shows: swings and balls side by side in time order, the best on film, before and after."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import groupby
from typing import Any, Final

from threequarter.chart.result import Chart, Verdict
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language import say as told
from threequarter.language import words
from threequarter.language.localize import N_, _, ngettext, number
from threequarter.practice.lesson import (
    Best,
    Change,
    Measure,
    Pair,
    best_on_film,
    carry_changes,
    pair_up,
    swing_changes,
)
from threequarter.store.clips.clips import Clip
from threequarter.store.clips.live import FILM
from threequarter.store.people.roster import Note
from threequarter.store.results import StoredBall
from threequarter.swing.story import story
from threequarter.swing.words import (
    USUAL,
    Lengths,
    OwnTempo,
    end_words,
    lesson_tempo,
    lesson_words,
    match,
    match_words,
    meant_words,
    tempo_beside,
)

MINUTES: Final = 45


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A swing of a clip: its number there (from 1), what was measured, the picture of it, when the ball was hit (UTC,
    None unknown); what swing lengths mean to its player (`own`); and the player's own tempos of other clips (`tempos`)."""

    clip: Clip
    number: int
    swing: Mapping[str, Any]
    sheet: str | None
    at: datetime.datetime | None
    own: Lengths = USUAL
    tempos: Sequence[OwnTempo] = ()


LONG_RUN: Final = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A line of the timeline: a swing, a ball, both where they belong together, a note, or a run of balls with one
    shot."""

    swing: dict[str, Any] | None = None
    ball: dict[str, Any] | None = None
    note: Note | None = None
    at: datetime.datetime | None = None
    run: tuple[dict[str, Any], ...] = ()


@dataclass(frozen=True, kw_only=True)
class LessonView:
    """A lesson ready for its page. `kept` are all balls in the order hit, `chart` is None while there is none."""

    kept: Sequence[StoredBall]
    seen: Sequence[Seen]
    chart: Chart | None
    unit: DistanceUnit
    notes: Sequence[Note] = ()
    told: Mapping[tuple[int, int], int | None] = field(default_factory=dict)

    @cached_property
    def pairs(self) -> tuple[Pair, ...]:
        """Which ball each swing hit, places in `seen` and `kept`."""
        place = {kept.id: j for j, kept in enumerate(self.kept)}
        said: dict[int, int | None] = {}
        for i, one in enumerate(self.seen):
            ball = self.told.get((one.clip.id, one.number), -1)
            if ball is None or ball in place:
                said[i] = None if ball is None else place[ball]
            elif one.swing.get("struck") == "practice":
                said[i] = None
        return pair_up([_seconds(one.at) for one in self.seen], [_seconds(kept.hit_at) for kept in self.kept], said)

    def best(self) -> tuple[Best, ...]:
        """The best ball on film of each shot."""
        return best_on_film(self.chart, [kept.ball for kept in self.kept], self.pairs) if self.chart else ()

    def story(self) -> list[str]:
        """Strike and swing in one story, in at most three lines; nothing where no bad strike was filmed."""
        verdicts = {verdict.number: verdict for verdict in self.chart.verdicts} if self.chart else {}
        swings, strikes, shots = [], [], []
        for pair in self.pairs:
            if pair.ball is None:
                continue
            ball = self.kept[pair.ball].ball
            verdict = verdicts.get(ball.number)
            fine = verdict is not None and not verdict.mishit
            swings.append(self.seen[pair.swing].swing)
            shots.append(f"{ball.club} {ball.swing}")
            strikes.append(ball.strike.value if ball.strike else "good" if fine else None)
        return [told(line) for line in story(swings, strikes, shots)]

    @cached_property
    def rows(self) -> tuple[Row, ...]:
        """The timeline, oldest first. Balls keep their order; a swing stands with its ball, else after the one before
        it."""
        verdicts = {v.number: v for v in self.chart.verdicts} if self.chart else {}
        pairs = {pair.swing: pair for pair in self.pairs}
        of_ball = {pair.ball: pair for pair in pairs.values() if pair.ball is not None}
        rows = [
            Row(
                ball=self._ball(j, verdicts.get(kept.ball.number)),
                swing=self._swing(of_ball[j]) if j in of_ball else None,
                at=kept.hit_at,
            )
            for j, kept in enumerate(self.kept)
        ]
        after = 0
        for i, one in enumerate(self.seen):
            ball = pairs[i].ball
            if ball is not None:
                after = next(k for k, row in enumerate(rows) if row.ball is not None and row.ball["place"] == ball) + 1
                continue
            after = max(after, _place(rows, one.at)) if one.at else after
            rows.insert(after, Row(swing=self._swing(pairs[i]), at=one.at))
            after += 1
        for note in self.notes:
            rows.insert(_place(rows, note.made_at), Row(note=note, at=note.made_at))
        return tuple(rows)

    def lines(self) -> list[Row]:
        """The timeline with every long run of balls off film with one shot as one line."""
        lines: list[Row] = []
        for shot, group in groupby(self.rows, key=lambda row: row.ball["shot"] if row.ball and not row.swing else None):
            rows = list(group)
            balls = tuple(row.ball for row in rows if row.ball) if shot is not None else ()
            lines += [Row(run=balls, at=rows[0].at)] if len(balls) >= LONG_RUN else rows
        return lines

    def _swing(self, pair: Pair) -> dict[str, Any]:
        one = self.seen[pair.swing]
        swing = one.swing
        ball = self.kept[pair.ball] if pair.ball is not None else None
        meant = one.clip.felt or (ball.ball.swing if ball else "")
        return {
            "clip": one.clip.id,
            "number": one.number,
            "sheet": one.sheet,
            "place": pair.swing,
            "how": pair.how,
            "name": one.clip.name if one.clip.filmed else _("Live on the range"),
            "film": (swing.get(FILM) or {}).get("clip"),
            "lengths": _lengths(one),
            "match": told(match_words(match(swing))),
            "felt": felt_words(one, meant),
            "tempo": _tempo(one),
            "practice": told(Message("swing.practice")) if swing.get("struck") == "practice" else "",
            "ball": ball.id if ball else None,
            "warnings": swing.get("warnings", []),
        }

    def _ball(self, place: int, verdict: Verdict | None) -> dict[str, Any]:
        kept = self.kept[place]
        ball = kept.ball
        return {
            "id": kept.id,
            "place": place,
            "number": ball.number,
            "shot": f"{ball.club} {ball.swing}".strip(),
            "carry": f"{number(from_metres(ball.distance_m, self.unit), 0)} {self.unit}",
            "short": number(from_metres(ball.distance_m, self.unit), 0),
            "strike": _(ball.strike.value) if ball.strike else "",
            "side": side_words(ball.offline_m, self.unit),
            "why": kept.left_out_why or "",
            "used": ball.use,
            "mishit": bool(verdict and verdict.mishit),
            "good": words.percent(verdict.good) if verdict else "",
        }

    def split(self, first_after: int | None) -> int:
        """The place of the first ball (without balls: swing) that counts as after: the one asked for, else the
        middle."""
        many = len(self.kept) or len(self.seen)
        wanted = next((j for j, kept in enumerate(self.kept) if kept.ball.number == first_after), None)
        return wanted if wanted is not None and 0 < wanted < many else many // 2

    def changes(self, first_after: int | None = None) -> tuple[Change, ...]:
        """What changed from the split on: carry, spread, mishits, and the measures of the swings."""
        split = self.split(first_after)
        found: tuple[Change, ...] = ()
        if self.chart is not None:
            found = carry_changes(
                self.chart, [kept.ball for kept in self.kept], [j >= split for j in range(len(self.kept))]
            )
        late, last = [], 0
        for pair in self.pairs:
            last = pair.ball if pair.ball is not None else last
            late.append((last if self.kept else pair.swing) >= split)
        meant = [one.clip.felt or self._meant(pair) for one, pair in zip(self.seen, self.pairs, strict=True)]
        return found + swing_changes([one.swing for one in self.seen], meant, [one.clip.id for one in self.seen], late)

    def _meant(self, pair: Pair) -> str:
        return self.kept[pair.ball].ball.swing if pair.ball is not None else ""


def _seconds(at: datetime.datetime | None) -> float | None:
    return None if at is None else (at - datetime.datetime(2000, 1, 1)).total_seconds()


def _place(rows: Sequence[Row], at: datetime.datetime) -> int:
    """Behind the last row that is not later; the end where no row has a time."""
    later = [k for k, row in enumerate(rows) if row.at is not None and row.at > at]
    return later[0] if later else len(rows)


def _lengths(one: Seen) -> str:
    return told(Message("swing.lengths", **_ends(one)))


def _ends(one: Seen) -> dict[str, Message]:
    return {"back": end_words(one.swing, "top", one.own), "through": end_words(one.swing, "finish", one.own)}


def _tempo(one: Seen) -> str:
    ratio = one.swing.get("tempo_ratio")
    if ratio is None:
        return ""
    beside = tempo_beside(one.swing, one.tempos)
    return ", ".join(told(line) for line in (Message("swing.tempo", times=float(ratio)), beside) if line)


def felt_words(one: Seen, meant: str) -> str:
    """What was meant beside what was filmed; nothing where either is not known."""
    swing = one.swing
    if not meant or swing.get("hand_height_top") is None or swing.get("lead_arm_top_deg") is None:
        return ""
    try:
        return told(meant_words(swing, meant, one.own))
    except UserError:
        return ""


def side_words(offline_m: float | None, unit: DistanceUnit) -> str:
    """ "3 yd left"; nothing where it is not known."""
    if offline_m is None:
        return ""
    away = f"{number(from_metres(abs(offline_m), unit), 0)} {unit}"
    return _("{away} right").format(away=away) if offline_m >= 0 else _("{away} left").format(away=away)


NAMES: Final[dict[Measure, str]] = {
    "carry": N_("Carry"),
    "spread": N_("Spread from ball to ball"),
    "mishits": N_("Mishits"),
    "back": N_("Lead arm back"),
    "through": N_("Lead arm through"),
    "match": N_("Lead arm, through against back"),
    "tempo": N_("Tempo, back to down"),
    "speed": N_("Hand speed at the ball"),
}
WAYS: Final[dict[Measure, tuple[str, str]]] = {
    "carry": (N_("Longer than before."), N_("Shorter than before.")),
    "spread": (N_("Wider than before."), N_("Tighter than before.")),
    "mishits": (N_("More than before."), N_("Fewer than before.")),
    "back": (N_("Longer back than before."), N_("Shorter back than before.")),
    "through": (N_("Longer through than before."), N_("Shorter through than before.")),
    "match": (N_("Longer through, compared with back."), N_("Shorter through, compared with back.")),
    "tempo": (N_("Slower back, compared with down."), N_("Quicker back, compared with down.")),
    "speed": (N_("The hands keep more speed into the ball."), N_("The hands lose more speed into the ball.")),
}


def change_words(change: Change, unit: DistanceUnit, usual_m: float | None = None) -> dict[str, Any]:
    """A change for a table: before, after, the change with its doubt, and what may be said of it."""
    before, after, by, doubt = _figures(change)
    if change.measure == "carry" and usual_m:
        low, high = (from_metres(usual_m * end, unit) for end in (change.change90.low, change.change90.high))
        by += " " + _("({low} to {high} {unit} at {carry} {unit})").format(
            low=number(low, 0, sign=True),
            high=number(high, 0, sign=True),
            unit=unit,
            carry=number(from_metres(usual_m, unit), 0),
        )
    longer, shorter = WAYS[change.measure]
    says = (
        _(longer)
        if change.change90.low > 0
        else _(shorter)
        if change.change90.high < 0
        else _("Could be chance: no change seen.")
    )
    what = ngettext("{before} and {after}", "{before} and {after}", 2).format(
        before=change.counts[0], after=change.counts[1]
    )
    return {
        "name": _(NAMES[change.measure]),
        "before": before,
        "after": after,
        "by": by,
        "doubt": doubt,
        "says": says,
        "told": change.told,
        "counts": what,
    }


def _figures(change: Change) -> tuple[str, str, str, str]:
    low, high = change.change90.low, change.change90.high
    if change.measure == "carry":
        return (
            "–",
            "–",
            f"{number(100 * change.change, 1, sign=True)} %",
            f"{number(100 * low, 1, sign=True)} … {number(100 * high, 1, sign=True)} %",
        )
    if change.measure in ("spread", "mishits", "speed"):
        digits = 1 if change.measure == "spread" else 0
        before, after = (f"{number(100 * v, digits)} %" for v in (change.before, change.after))
        by, ends = f"{number(100 * change.change, 0, sign=True)} %", (low, high)
        if change.measure == "spread":
            by = _("{share} % of carry").format(share=number(100 * change.change, 0, sign=True))
        return before, after, by, f"{number(100 * ends[0], 0, sign=True)} … {number(100 * ends[1], 0, sign=True)} %"
    digits, unit = (1, "") if change.measure == "tempo" else (0, "°")
    before, after = (f"{number(v, digits)}{unit}" for v in (change.before, change.after))
    return (
        before,
        after,
        f"{number(change.change, digits, sign=True)}{unit}",
        f"{number(low, digits, sign=True)} … {number(high, digits, sign=True)}{unit}",
    )


def change_line(change: Change, unit: DistanceUnit, usual_m: float | None = None) -> str:
    """A change that can be told, in one line for the page to take home."""
    found = change_words(change, unit)
    if change.measure == "carry" and usual_m:
        low, high = sorted(abs(from_metres(usual_m * end, unit)) for end in (change.change90.low, change.change90.high))
        said = (
            _("A {carry} {unit} shot flies {low} to {high} {unit} longer than at the start.")
            if change.change > 0
            else _("A {carry} {unit} shot flies {low} to {high} {unit} shorter than at the start.")
        )
        return said.format(
            carry=number(from_metres(usual_m, unit), 0), low=number(low, 0), high=number(high, 0), unit=unit
        )
    return f"{found['name']}: {found['says']} " + _("From {before} to {after}.").format(
        before=found["before"], after=found["after"]
    )


def plain_swing(one: Seen) -> str:
    """A swing in words that need no knowledge of the trade."""
    swing = one.swing
    lines = [Message("swing.plain_lengths", **_ends(one))]
    if (found := match(swing)).by_deg is not None:
        lines.append(Message("swing.plain_match", match=match_words(found)))
    if swing.get("tempo_ratio") is not None:
        beside = tempo_beside(swing, one.tempos)
        code = "swing.plain_tempo_beside" if beside else "swing.plain_tempo"
        lines.append(Message(code, times=float(swing["tempo_ratio"]), **({"beside": beside} if beside else {})))
    return " ".join(told(line) for line in lines)


def all_swings(seen: Sequence[Seen]) -> list[str]:
    """All swings of a lesson in one or two lines: the match, and the tempo against the player's own; nothing without a film."""
    swings = [one.swing for one in seen]
    tempo = lesson_tempo(swings, [one.tempos for one in seen])
    return [" ".join(told(line) for line in lines) for lines in (lesson_words(swings), tempo) if seen and lines]
