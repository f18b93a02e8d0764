"""Sessions of made-up players, kind by kind: `make("fatigue_8", 3)` is the fourth player of that kind, the same on every machine.

The kinds stand in `players_kinds.KINDS`; every second one is for tuning, the others for reporting (`half`).
"""

import zlib
from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from .players_hit import Player
from .players_kinds import KINDS
from .players_law import Law, World, draw_law
from .players_truth import YARD_M, Row, Session

Places = list[tuple[int, int]]
"""(day, cell number) of each ball, in the order hit."""


def half(which: str) -> tuple[str, ...]:
    """The kinds of one half: "tuned" (even index in the registry), "reported" (odd), or "all". `ValueError` for another word."""
    if which not in ("tuned", "reported", "all"):
        raise ValueError(f"no half {which!r}: tuned, reported or all")
    return tuple(name for i, name in enumerate(KINDS) if which == "all" or (i % 2 == 0) == (which == "tuned"))


def make(kind: str, number: int, seed: int = 0) -> Session:
    """Session `number` of a kind; `KeyError` for a kind that is not there. The same three always give the same session."""
    return play(kind, KINDS[kind], rng_of(kind, number, seed))


def rng_of(kind: str, number: int, seed: int = 0) -> np.random.Generator:
    """The generator of one session, of its own whatever else was drawn."""
    return np.random.default_rng([seed, zlib.crc32(kind.encode()), number])


def play(kind: str, world: World, rng: np.random.Generator) -> Session:
    """One session of one fresh player of this world."""
    return play_with(kind, draw_law(world, rng), rng)[0]


def play_with(kind: str, law: Law, rng: np.random.Generator) -> tuple[Session, Player]:
    """One session of the player who obeys `law`, and the player, who can go on hitting."""
    places = order_of(law, rng)
    player = Player(law, rng, planned=len(places))
    rows = []
    for day, at in places:
        if day != player.day:
            player.start_day(day)
        rows.append(player.hit(law.cells[at].club, law.cells[at].swing))
    return as_session(kind, player, rows), player


def as_session(kind: str, player: Player, rows: list[Row]) -> Session:
    """What `player` hit, as it stands on paper, with its truth."""
    world = player.law.world
    kept = read_session(world, rows, player.paper_rng)
    balls: Counter[tuple[str, str]] = Counter()
    for row in kept:
        balls[row.club, row.swing] += row.count
    flags = {"drift"} if abs(world.drift) >= 0.05 else set()
    flags |= {"units"} if world.metres else set()
    return Session(kind=kind, rows=tuple(kept), cells=player.truth(balls), drift=world.drift, flags=frozenset(flags))


def read_session(world: World, rows: list[Row], rng: np.random.Generator) -> list[Row]:
    """What stands on paper afterwards: balls the device dropped are gone, some were typed in metres, a pile is one reading."""
    if world.cut_yd:
        rows = [row for row in rows if row.carry_m >= world.cut_yd * YARD_M] or rows[:1]
    if world.metres:
        wrong = np.arange(len(rows)) >= 2 * len(rows) // 3 if world.metres == "block" else rng.random(len(rows)) < 1 / 3
        rows = [replace(row, read_m=row.read_m * YARD_M) if bad else row for row, bad in zip(rows, wrong, strict=True)]
    if world.read_by == "pile":
        rows = _piles(rows, rng)
    return [replace(row, number=i) for i, row in enumerate(rows, 1)]


def _piles(rows: list[Row], rng: np.random.Generator) -> list[Row]:
    """Of each cell only the middle of what lies together, by eye: its median, to a yard and a half."""
    piles = []
    for club, swing in dict.fromkeys((row.club, row.swing) for row in rows):
        lying = [row for row in rows if (row.club, row.swing) == (club, swing)]
        middle = float(np.median([row.carry_m for row in lying])) + rng.normal(0, 1.5 * YARD_M)
        read = max(round(middle / YARD_M), 3) * YARD_M
        piles.append(
            replace(
                lying[0],
                carry_m=middle,
                read_m=read,
                count=len(lying),
                offline_m=None,
                strike="good",
                error_sd_m=1.5 * YARD_M,
            )
        )
    return piles


def balls_of_cells(law: Law, rng: np.random.Generator) -> NDArray[np.int64]:
    """Balls a day in each cell."""
    world, cells = law.world, len(law.cells)
    match world.layout:
        case "even":
            return np.full(cells, world.balls)
        case "mostly one":
            counts = np.full(cells, 2)
            counts[rng.integers(cells)] = 50
            return counts
        case "uneven":
            counts = rng.integers(0, 2 * world.balls + 1, cells)
            counts[rng.integers(cells)] = max(world.balls, 1)
            return counts
        case "one shot":
            counts = np.zeros(cells, np.int64)
            counts[rng.integers(cells)] = world.balls
            return counts
    raise ValueError(f"no layout {world.layout!r}")


def order_of(law: Law, rng: np.random.Generator) -> Places:
    """The order in which a session is hit: by club, by cell in any order, in rounds, or quite mixed; day after day."""
    places: Places = []
    for day in range(1, law.world.days + 1):
        places += [(day, at) for at in ORDERS[law.world.order](law, balls_of_cells(law, rng), rng)]
    return places


def _by_club(law: Law, counts: NDArray[np.int64], rng: np.random.Generator) -> list[int]:
    up = (
        1 if rng.random() < 0.5 else -1
    )  # from the least loft on, or from the most; the swings always from short to long
    cells = sorted(range(len(counts)), key=lambda i: (up * law.cells[i].club_rank, law.cells[i].swing_rank))
    return [i for i in cells for _ in range(counts[i])]


def _by_cell(law: Law, counts: NDArray[np.int64], rng: np.random.Generator) -> list[int]:
    return [int(i) for i in rng.permutation(len(counts)) for _ in range(counts[i])]


def _mixed(law: Law, counts: NDArray[np.int64], rng: np.random.Generator) -> list[int]:
    return [int(i) for i in rng.permutation(np.repeat(np.arange(len(counts)), counts))]


def _rounds(size: int) -> Callable[[Law, NDArray[np.int64], np.random.Generator], list[int]]:
    def rounds(law: Law, counts: NDArray[np.int64], rng: np.random.Generator) -> list[int]:
        left, balls = counts.copy(), []
        while left.any():
            for i in rng.permutation(len(left)):
                balls += [int(i)] * min(size, int(left[i]))
                left[i] = max(left[i] - size, 0)
        return balls

    return rounds


ORDERS = {"clubs": _by_club, "cells": _by_cell, "random": _mixed, "rounds5": _rounds(5), "rounds2": _rounds(2)}
