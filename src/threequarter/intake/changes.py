"""What a correction changes: the balls of two readings of one file, side by side."""

from dataclasses import dataclass

from threequarter.golf.ball import Ball, Place
from threequarter.intake.reading import Reading

Key = tuple[str | None, int | None, int | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A ball before and after; None where it was not read, or is read no more."""

    before: Ball | None
    after: Ball | None


def changes(before: Reading, after: Reading) -> tuple[Change, ...]:
    """The balls that differ in player, club, swing, distance, side, or whether they count, in the order of the file."""
    old, new = _by_place(before), _by_place(after)
    rows = sorted(old.keys() | new.keys(), key=lambda key: (key[0] or "", key[1] or 0, key[2] or 0))
    pairs = [Change(before=old.get(key), after=new.get(key)) for key in rows]
    return tuple(one for one in pairs if _seen(one.before) != _seen(one.after))


def key_of(place: Place) -> str:
    """The mark by which a person points at a ball of a file: sheet, row and column."""
    return f"{place.sheet or ''}!{place.row or 0}.{place.col or 0}"


def alike(reading: Reading, ball: Ball) -> tuple[Ball, ...]:
    """The other balls of a file that look like one: the same remark beside them, or else the same shot."""
    if ball.note:
        return tuple(one for one in reading.balls if one.note == ball.note and one.place != ball.place)
    return tuple(
        one for one in reading.balls if (one.player, *one.shot) == (ball.player, *ball.shot) and one.place != ball.place
    )


def _by_place(reading: Reading) -> dict[Key, Ball]:
    """Balls by their row, and by their column too where a row holds several."""
    rows = [(ball.place.sheet, ball.place.row) for ball in reading.balls if ball.place]
    single = len(set(rows)) == len(rows)
    return {
        (ball.place.sheet, ball.place.row, None if single else ball.place.col): ball
        for ball in reading.balls
        if ball.place
    }


def _seen(ball: Ball | None) -> tuple[object, ...] | None:
    if ball is None:
        return None
    return (ball.player, ball.club, ball.swing, round(ball.distance_m, 3), ball.offline_m, ball.use, ball.count)
