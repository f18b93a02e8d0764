"""What a player set out to chart: the wedges, the swing lengths, and the other names that the same club and swing go by."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from threequarter.golf.ball import AnyBall, Ball
from threequarter.golf.club import club_key, parse_club
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.swing_length import parse_swing

Shot = tuple[str, str, float | None]
"""A shot to chart: club, swing length, loft of the club in degrees (None: as its label tells)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedClub:
    """A wedge of the plan. `other_names` are what else it is called ("GW 50" for "50"); `loft_deg` None where only the label tells."""

    label: str
    loft_deg: float | None = None
    other_names: tuple[str, ...] = ()

    @property
    def keys(self) -> frozenset[str]:
        """Every key (see `club_key`) that a ball of this club may bear."""
        own = club_key(self.label, self.loft_deg)
        return frozenset({own, *(club_key(name) for name in (self.label, *self.other_names))})


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedSwing:
    """A swing length of the plan, with what else it is called ("halb" for "waist"). `arm_deg`: where the lead arm points at the top, in
    degrees from hanging down, where somebody told that of this player; None where it means what it says."""

    label: str
    other_names: tuple[str, ...] = ()
    arm_deg: float | None = None

    @property
    def keys(self) -> frozenset[str]:
        """Every key (see `parse_swing`) that a ball of this swing may bear."""
        return frozenset(parse_swing(name).key for name in (self.label, *self.other_names))


@dataclass(frozen=True, kw_only=True)
class Plan:
    """The plan of a player: wedges and swing lengths in the player's order, what the player is after (`goal`).

    `stored` is False where nobody made one and it was taken from the balls.
    """

    clubs: tuple[PlannedClub, ...] = ()
    swings: tuple[PlannedSwing, ...] = ()
    goal: str = ""
    stored: bool = True

    @cached_property
    def shots(self) -> tuple[Shot, ...]:
        """Every wedge by every swing length: what gaps, next and enough are asked about."""
        return tuple((club.label, swing.label, club.loft_deg) for club in self.clubs for swing in self.swings)

    @cached_property
    def arms_deg(self) -> dict[str, float]:
        """The lead arm of the swing lengths that are told in degrees, by every key they go by (see `parse_swing`)."""
        return {key: one.arm_deg for one in self.swings if one.arm_deg is not None for key in one.keys}

    @cached_property
    def _club_of(self) -> dict[str, PlannedClub]:
        return {key: club for club in reversed(self.clubs) for key in club.keys}

    @cached_property
    def _swing_of(self) -> dict[str, PlannedSwing]:
        return {key: swing for swing in reversed(self.swings) for key in swing.keys}

    def club(self, label: str, loft_deg: float | None = None) -> PlannedClub | None:
        """The planned club that a label means, None for one that is not planned."""
        return self._club_of.get(club_key(label, loft_deg)) or self._club_of.get(club_key(label))

    def swing(self, label: str) -> PlannedSwing | None:
        """The planned swing length that a label means, None for one that is not planned."""
        return self._swing_of.get(parse_swing(label).key)

    def named(self, ball: AnyBall) -> AnyBall:
        """The ball under the plan's own names, so that one club is one club; as it was where the plan does not know it."""
        club, swing = self.club(ball.club, ball.loft_deg), self.swing(ball.swing)
        if club is None and swing is None:
            return ball
        return replace(
            ball,
            club=club.label if club else ball.club,
            loft_deg=ball.loft_deg if club is None else _loft_of(club, ball),
            swing=swing.label if swing else ball.swing,
        )

    def named_all(self, balls: Iterable[AnyBall]) -> tuple[AnyBall, ...]:
        """`named` for each."""
        return tuple(self.named(ball) for ball in balls)

    def holds(self, club: str, swing: str, loft_deg: float | None = None) -> bool:
        """Whether a shot is planned."""
        return self.club(club, loft_deg) is not None and self.swing(swing) is not None


def _loft_of(club: PlannedClub, ball: Ball) -> float | None:
    """The loft a ball is charted by: as planned, as the plan's label tells, else as the file told."""
    if club.loft_deg is not None:
        return club.loft_deg
    told = parse_club(club.label).loft_deg
    return told if told is not None else ball.loft_deg


def plan_of_balls(balls: Sequence[Ball]) -> Plan:
    """The plan that balls show where nobody made one: the clubs and swing lengths hit, clubs by loft, lengths from short to long."""
    clubs: dict[str, PlannedClub] = {}
    swings: dict[str, PlannedSwing] = {}
    for ball in balls:
        if ball.use:
            clubs.setdefault(club_key(ball.club, ball.loft_deg), PlannedClub(label=ball.club, loft_deg=ball.loft_deg))
            swings.setdefault(parse_swing(ball.swing).key, PlannedSwing(label=ball.swing))
    return Plan(
        clubs=tuple(sorted(clubs.values(), key=lambda club: (club.loft_deg or 99.0, club.label))),
        swings=tuple(sorted(swings.values(), key=lambda swing: parse_swing(swing.label).order)),
        stored=False,
    )


def plan_of_text(text: str) -> Plan:
    """The plan written in a line: wedges, a colon, swing lengths; "=" before another name of the same.

    >>> plan = plan_of_text("50=GW 50, 54: waist=halb, chest")
    >>> [club.label for club in plan.clubs], plan.swings[0].other_names
    (['50', '54'], ('halb',))

    Raises UserError for a line of another form.
    """
    clubs, colon, swings = text.partition(":")
    named = [
        [tuple(name.strip() for name in one.split("=") if name.strip()) for one in part.split(",")]
        for part in (clubs, swings)
    ]
    if not colon or not all(part and all(part) for part in named):
        raise UserError(Message("plan.form", text=text[:80]))
    return Plan(
        clubs=tuple(PlannedClub(label=first, other_names=tuple(rest)) for first, *rest in named[0]),
        swings=tuple(PlannedSwing(label=first, other_names=tuple(rest)) for first, *rest in named[1]),
    )
