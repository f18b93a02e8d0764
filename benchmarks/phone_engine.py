"""The phone's engine beside Python's on sessions of every kind: the same answer for the same balls?

    python benchmarks/phone_engine.py [--sessions 500] [--seed 0] [--folder DIR]

Sessions of both simulated worlds (`worlds/old.py`, `worlds/players.py`), of every kind in turn, and those of a folder of CSV files where one
is named. Node runs the engine. Asked: every distance to 0.05 yd, every chance to 0.5 %, every word the same. Prints the worst of each.
"""

import argparse
import csv
import json
import shutil
import subprocess
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any, Final

ROOT: Final = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT)]

from benchmarks.worlds import old, players  # noqa: E402

from threequarter.answers.answer import answer  # noqa: E402
from threequarter.golf.ball import Ball, Carried, MeasuredBy, Strike  # noqa: E402
from threequarter.golf.ball_codec import ball_to  # noqa: E402
from threequarter.golf.message import Message  # noqa: E402
from threequarter.golf.plan import Plan, plan_of_text  # noqa: E402
from threequarter.golf.units import MPH_MPS, YARD_M  # noqa: E402

ANSWERS: Final = ROOT / "tests/scripts/engine_answers.js"
MOST_M: Final = 0.05 * YARD_M
MOST_CHANCE: Final = 0.005
SAME: Final = ("offline_m", "launch_deg", "backspin_rpm", "count", "error_sd_m", "shared_sd_m")
PLAN: Final = plan_of_text("46=PW, 50=GW 50, 54=SW, 58: knee, waist=halb, chest, 9:00, full")
"""Further shots, some under another name."""
Session = tuple[Sequence[Ball], Plan | None]


def engine_answers(sessions: Iterable[Session]) -> list[dict[str, Any]]:
    """What the phone's engine says of each session. Raises RuntimeError where it fails."""
    return engine_says({"balls": [ball_to(ball) for ball in balls], "plan": plan_of(plan)} for balls, plan in sessions)


def engine_says(questions: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """What the phone's engine answers to questions of `tests/scripts/engine_answers.js`. Raises RuntimeError where it fails."""
    node = shutil.which("node")
    if node is None:
        raise RuntimeError("node is not installed")
    lines = "\n".join(map(json.dumps, questions))
    ran = subprocess.run([node, str(ANSWERS)], input=lines, capture_output=True, text=True, check=False)
    if ran.returncode:
        raise RuntimeError(ran.stderr[-2000:])
    return [json.loads(line) for line in ran.stdout.splitlines()]


def plan_of(plan: Plan | None) -> dict[str, Any] | None:
    return None if plan is None else plain({"clubs": plan.clubs, "swings": plan.swings})


def plain(value: Any) -> Any:
    """What the engine would write: dataclasses as tables, a message as its code and values."""
    if isinstance(value, Message):
        return {"code": value.code, **{name: plain(one) for name, one in value.values.items()}}
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, dict):
        return {name: plain(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [plain(one) for one in value]
    return value.item() if hasattr(value, "item") else value


def python_answer(session: Session) -> dict[str, Any]:
    """The same of Python, in the engine's names."""
    balls, plan = session
    found = answer([Carried.of(ball) for ball in balls], plan)
    meaning, advice, bad = found.meaning, found.advice, found.mishits
    gaps = [{**plain(gap), "fillers": [_filler(one) for one in gap.fillers]} for gap in meaning.gaps]
    pairs = {"doubles": plain(meaning.doubles), "undecided": plain(meaning.undecided)}
    told = {"state", "suggestions", "doubt_ratio", "balls_to_go", "minutes_to_go", "goals_m", "messages"}
    counts = {name: getattr(bad, name) for name in ("read", "charted", "unused", "seen", "called", "doubtful", "share")}
    return {
        "cells": plain(found.chart.cells),
        "verdicts": [{**plain(one), "sign": one.sign, "mishit": one.mishit} for one in found.chart.verdicts],
        **{name: plain(getattr(found.chart, name)) for name in ("checks", "notes", "drift90")},
        "advice": {name: plain(getattr(advice, name)) for name in told},
        "meaning": {"gaps": gaps, **pairs},
        "mishits": counts,
    }


def _filler(filler: Any) -> dict[str, Any]:
    told = {name: plain(getattr(filler, name)) for name in ("kind", "club", "swings", "carry_m", "learned")}
    return told | {"half_m": filler.carry90_m.half}


def apart(here: Any, there: Any, place: str = "") -> Iterator[tuple[str, float]]:
    """Where two answers differ: the place of a number and by how much; infinity for another word, length or name.

    Only what Python tells (`here`) is looked for in the engine's answer."""
    if isinstance(here, dict):
        if not isinstance(there, dict):
            yield place, float("inf")
            return
        for name, value in here.items():
            yield from apart(value, there.get(name), f"{place}.{name}")
    elif isinstance(here, list):
        if not isinstance(there, list) or len(here) != len(there):
            yield f"{place}[]", float("inf")
            return
        for one, other in zip(here, there, strict=True):
            yield from apart(one, other, place)
    elif isinstance(here, bool) or here is None or isinstance(here, str):
        if here != there:
            yield place, float("inf")
    elif not isinstance(there, int | float):
        yield place, float("inf")
    else:
        yield place, abs(here - there)


def limit_of(place: str) -> float:
    """How far two numbers at a place may lie apart: metres for what is in metres, chances for the others; counts not at all."""
    counted = (
        "balls",
        "balls_to_go",
        "minutes_to_go",
        "readings",
        "count",
        "number",
        "minutes",
        "shots",
        "pairs",
        "most",
    )
    if place.rpartition(".")[2] in counted or any(f".{name}_number" in place for name in ("first", "last")):
        return 0.0
    parts = place.split(".")
    return MOST_M if any(part.endswith("_m") for part in parts) else MOST_CHANCE


def beyond(session: Session, engine: dict[str, Any]) -> tuple[list[tuple[str, float]], float, float]:
    """Where the engine is too far off; the worst distance (m) and the worst chance."""
    metres = chances = 0.0
    bad = []
    for place, off in apart(python_answer(session), engine):
        limit = limit_of(place)
        if off > limit:
            bad.append((place, off))
        elif limit == MOST_M:
            metres = max(metres, off)
        elif limit:
            chances = max(chances, off)
    return bad, metres, chances


def simulated(count: int, seed: int = 0) -> Iterator[tuple[str, Session]]:
    """Named sessions of both worlds, every kind in turn; each third asks a plan of more shots than were hit."""
    first: list[tuple[str, Sequence[Ball]]] = [
        (f"old {s.kind}", s.balls) for s in old.many(seed, count // 3, launch=True)
    ]
    kinds = players.half("all")
    for i in range(count - len(first)):
        kind = kinds[i % len(kinds)]
        first.append((f"{kind} {i}", balls_of(players.make(kind, i // len(kinds), seed))))
    for i, (name, balls) in enumerate(first):
        yield name, (balls, PLAN if i % 3 == 2 else None)


def balls_of(session: Any) -> list[Ball]:
    """The balls of a session of `worlds/players.py`, as they were read, with what was noted of every fifth."""
    return [
        Ball(
            number=row.number,
            day=row.day,
            club=row.club,
            loft_deg=row.loft_deg,
            swing=row.swing,
            distance_m=row.read_m,
            measured_by=MeasuredBy(row.read_by),
            strike=Strike(row.strike) if row.number % 5 == 0 else None,
            **{name: getattr(row, name) for name in SAME},
        )
        for row in session.rows
    ]


def of_folder(folder: Path) -> Iterator[tuple[str, Session]]:
    """Sessions of CSV files, a ball a row: ball, day, club, loft_deg, swing, carry_yd, and what else is known of some."""
    for file in sorted(folder.glob("*.csv")):
        with file.open(encoding="utf-8") as rows:
            yield file.stem, ([_ball(row) for row in csv.DictReader(rows)], None)


def _ball(row: dict[str, str]) -> Ball:
    known = {name: float(value) for name, value in row.items() if value and name not in ("club", "swing")}
    ball = Ball(
        number=int(known["ball"]),
        day=int(known.get("day", 1)),
        club=row["club"],
        swing=row["swing"],
        loft_deg=known.get("loft_deg"),
        distance_m=known["carry_yd"] * YARD_M,
    )
    ways = {"offline_m": ("offline_yd", YARD_M), "ball_speed_mps": ("ball_speed_mph", MPH_MPS)}
    ways |= {"launch_deg": ("launch_deg", 1.0), "backspin_rpm": ("backspin_rpm", 1.0)}
    return replace(ball, **{name: known[column] * by for name, (column, by) in ways.items() if column in known})


def main() -> int:
    """Compares, and says how far apart the two ever are."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("--sessions", type=int, default=500)
    asked.add_argument("--seed", type=int, default=0, help="another one, other sessions")
    asked.add_argument("--folder", type=Path)
    told = asked.parse_args()
    named = [*(of_folder(told.folder) if told.folder else ()), *simulated(told.sessions, told.seed)]
    sessions = [session for _name, session in named]
    worst_m = worst_chance = 0.0
    wrong = 0
    for (name, session), engine in zip(named, engine_answers(sessions), strict=True):
        bad, metres, chance = beyond(session, engine)
        worst_m, worst_chance = max(worst_m, metres), max(worst_chance, chance)
        wrong += bool(bad)
        for place, off in bad[:4]:
            print(f"{name}: {place} differs by {off:.4g}")
    print(
        f"{len(sessions)} sessions, {wrong} beyond; else at most {worst_m / YARD_M:.1e} yd and {100 * worst_chance:.1e} %"
    )
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
