"""Tables that say the same in another way: a twist may change the answer into a question, never into another answer.

    case = make_case(seed)          # deterministic; thousands in a second
    case.content, case.name         # the file
    case.truth                      # the form of the messy tables' truth, plus `answers` to the questions

Bases are simulated (`simulated_base`) or made from the truth of any table (`base_from_truth`). Builders tune on
seeds 0 to 9999 and test on 10000 and above.
"""

from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass
from random import Random
from typing import Any

from worlds.table_golf import Golfer, session
from worlds.table_model import LABELS, Column, Style, Table, render, unit_word
from worlds.table_words import CLUB_NAMES, CLUB_STYLES, HEADINGS, NONSENSE, PLAYERS, SWING_STYLES, UNITS

ROLE_SUBJECTS = {
    "club": "club",
    "swing": "swing",
    "player": "player",
    "carry": "carry",
    "total": "carry",
    "offline": "offline",
    "ball_speed": "speed",
    "launch": "launch",
    "spin": "spin",
}


@dataclass
class Work:
    """A table on its way through the twists; `fair` gathers the subjects about which a question is legitimate."""

    table: Table
    language: str
    fair: set[str]
    rng: Random
    stem: str = "balls"


@dataclass(frozen=True)
class Case:
    seed: int
    twists: tuple[str, ...]
    name: str
    content: bytes
    truth: dict[str, Any]


def word(language: str, role: str, rng: Random) -> str:
    return rng.choice(HEADINGS[language][role])


def numbers(values: list[float | None], unit: str, decimals: int) -> list[Any]:
    """SI values in a unit, rounded as they will be written."""
    return [None if v is None else float(round(v / UNITS.get(unit, 1.0), decimals)) for v in values]


def simulated_base(rng: Random) -> Work:
    """A plain table as a coach might have it: club, swing, carry and some of what else is known."""
    language = rng.choice(("en", "en", "en", *HEADINGS))
    names = rng.sample(PLAYERS, rng.choice((1, 1, 1, 2)))
    lofts = sorted(rng.sample((46, 48, 50, 52, 54, 56, 58, 60, 62), rng.choice((1, 2, 2, 3, 4))))
    labels, swings = rng.choice(SWING_STYLES), rng.choice((2, 2, 3, 3, 4))
    shots = []
    for name in names:
        golfer = Golfer(name, rng.uniform(24, 36), rng.uniform(0.015, 0.045), rng.uniform(0, 0.2), rng.gauss(0, 1))
        shots += session(golfer, [float(x) for x in lofts], swings, rng.randint(3, 6), rng, blocked=rng.random() < 0.8)
    shots = [s for s in shots if 6 < s.carry_m < 118]
    style, unit = Style(), rng.choice(("yd", "m"))
    style.decimal = "," if language not in ("en", "ja", "ko", "zh") else "."
    pattern = rng.choice(CLUB_STYLES)[0]
    named = len(lofts) <= 4 and rng.random() < 0.25
    clubs = rng.choice(CLUB_NAMES) if named else [pattern.format(x) for x in lofts]
    pick, speed = rng.randrange(9), rng.choice(("km/h", "mph", "m/s"))
    u = unit_word(unit, pick)
    w = lambda role: word(language, role, rng)  # noqa: E731
    columns = [
        Column("club", w("club"), [clubs[s.club] for s in shots]),
        Column("swing", w("swing"), [labels[s.swing] for s in shots]),
        Column("carry", w("carry"), numbers([s.carry_m for s in shots], unit, 1), unit, u, 1, True),
    ]
    more = [
        Column("total", w("total"), numbers([s.total_m for s in shots], unit, 1), unit, u, 1, True),
        Column("offline", w("offline"), numbers([s.offline_m for s in shots], unit, 1), unit, u, 1, True),
        Column(
            "ball_speed",
            w("ball_speed"),
            numbers([s.ball_ms for s in shots], speed, 1),
            speed,
            unit_word(speed, pick),
            1,
        ),
        Column(
            "launch", w("launch"), numbers([s.launch_deg for s in shots], "deg", 1), "deg", unit_word("deg", pick), 1
        ),
        Column("spin", w("spin"), numbers([s.spin_rpm for s in shots], "rpm", 0), "rpm", unit_word("rpm", pick), 0),
        Column("number", w("number"), [float(i + 1) for i in range(len(shots))], None, "", 0),
    ]
    columns += [c for c in more if rng.random() < 0.45]
    if len(names) > 1 or rng.random() < 0.2:
        columns.insert(0, Column("player", w("player"), [s.player for s in shots]))
    style.delimiter = ";" if style.decimal == "," else rng.choice((",", ";"))
    fair = {"club", "swing"} if named else {"swing"}
    if language != "en":
        fair |= {"club", "player", "offline"}
    return Work(Table(columns, style, [True] * len(shots)), language, fair, rng)


def base_from_truth(truth: dict[str, Any], rng: Random) -> Work:
    """A plain table with the balls of any table's truth, so that real layouts' balls can be twisted too."""
    balls = [b for b in truth["balls"] if b["use"] and b.get("carry_m") is not None and b.get("count") is None]
    language, unit, pick = "en", rng.choice(("yd", "m")), rng.randrange(9)
    columns = []
    for role in LABELS:
        if all(b.get(role) is not None for b in balls):
            columns.append(Column(role, word(language, role, rng), [str(b[role]) for b in balls]))
    for role, name, own, decimals in (
        ("carry", "carry_m", unit, 1),
        ("offline", "offline_m", unit, 1),
        ("ball_speed", "ball_speed_ms", "km/h", 1),
        ("launch", "launch_deg", "deg", 1),
        ("spin", "backspin_rpm", "rpm", 0),
    ):
        if sum(b.get(name) is not None for b in balls) > len(balls) / 2:
            values = numbers([b.get(name) for b in balls], own, decimals)
            columns.append(
                Column(
                    role,
                    word(language, role, rng),
                    values,
                    own,
                    unit_word(own, pick),
                    decimals,
                    role in ("carry", "offline"),
                )
            )
    return Work(Table(columns, Style(delimiter=","), [True] * len(balls)), language, {"club", "swing", "player"}, rng)


def doubtful_fields(work: Work) -> list[str]:
    """Fields whose unit is written nowhere in this table."""
    return ["carry_m", "offline_m"] if work.table.column("offline") else ["carry_m"]


def finish(work: Work, seed: int, twists: tuple[str, ...]) -> Case:
    file = render(work.table, work.stem)
    carry = work.table.column("carry")
    assert carry
    wide = work.table.style.layout == "wide"
    position = work.table.columns.index(carry) + 1
    heading = (
        carry.heading
        if sum(c.heading == carry.heading for c in work.table.columns) == 1 and carry.heading
        else str(position)
    )
    answers = {
        "unit": carry.unit,
        "decimal": work.table.style.decimal,
        "right": "-" if work.table.style.left_plus else "+",
    }
    if not wide:
        answers["carry"] = str(position) if work.table.style.layout == "rows" else heading
        answers |= {
            c.role: str(n + 1)
            for n, c in enumerate(work.table.columns)
            if c.role in (*LABELS, "offline", "ball_speed", "launch", "spin")
            and c.role != "carry"
            and work.table.style.layout == "rows"
        }
    fair = set(work.fair)
    if work.table.style.layout != "rows":
        fair |= {"carry", "club", "swing"}
    truth = {
        "balls": file.balls,
        "set_aside_rows": [],
        "ambiguous": None if file.unit_told else "unit",
        "doubtful": [] if file.unit_told else doubtful_fields(work),
        "may_ask": sorted(fair),
        "refuse": False,
        "features": list(twists),
        "loose": file.loose,
        "answers": answers,
    }
    return Case(seed, twists, file.name, file.content, truth)


def make_case(seed: int, base: Work | None = None, twists: tuple[str, ...] | None = None) -> Case:
    """The case of a seed: one twist in half of them, none in a few, two or three in the rest."""
    from worlds.table_twist_list import TWISTS

    rng = Random(seed)
    work = deepcopy(base) if base else simulated_base(rng)
    work.rng = rng
    if twists is None:
        names = list(TWISTS)
        count = rng.choice((0, 1, 1, 1, 1, 1, 1, 2, 2, 3, 3, 4))
        first = names[seed % len(names)]
        twists = tuple(dict.fromkeys([first, *rng.sample(names, 4)]))[:count]
    done = []
    for name in sorted(twists, key=list(TWISTS).index):
        if TWISTS[name](work):
            done.append(name)
    return finish(work, seed, tuple(done))


Twist = Callable[[Work], bool]
__all__ = ["NONSENSE", "Case", "Twist", "Work", "base_from_truth", "make_case", "simulated_base"]
