"""Tables that other hands wrote, and tables twisted: how many balls are read right, asked about, or silently wrong.

    python benchmarks/tables_by_others.py [--answer] [--twists N] [--seed FIRST] [--third tune|report|all] [--show]

--answer gives every question its answer from the truth, as a coach would, and reads again (at most six times).
--third: f01, f04, f07 ... may be looked at while building ("tune"); the others are for reporting. Twists with seeds
below 10000 are for tuning, those above for testing. --truth DIR reads a folder of tables with truth instead.
"""

import argparse
import json
import sys
import time
from collections import Counter
from dataclasses import replace
from pathlib import Path
from random import Random
from statistics import median
from typing import Any

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

from threequarter.golf.errors import UserError  # noqa: E402
from threequarter.intake.answer import reading_answer  # noqa: E402
from threequarter.intake.load import read_any, read_content  # noqa: E402
from threequarter.intake.options import ReadOptions  # noqa: E402
from worlds.table_judge import OUTCOMES, Verdict, judge, many, tally  # noqa: E402
from worlds.table_twists import base_from_truth, make_case  # noqa: E402

FOREIGN = ROOT / "tests" / "data" / "foreign_tables"
ROLES = ("carry", "club", "swing", "player", "offline", "ball_speed", "launch", "spin")
SUBJECTS = {"speed": "ball_speed"}


def read(content: bytes, path: Path, options: ReadOptions) -> dict[str, Any]:
    """The product's answer; a refusal in words is an answer, anything else that is raised is a breakdown."""
    try:
        reading = read_any(path, options) if path.is_file() else read_content(content, path.name, "table", options)
        return reading_answer(reading)
    except UserError as error:
        return {"balls": [], "set_aside": [], "questions": [], "error": str(error)}
    except Exception as error:  # noqa: BLE001 - a breakdown is a result of this benchmark
        return {"balls": [], "set_aside": [], "questions": [], "error": None, "broke": repr(error)}


def answered(options: ReadOptions, about: str, answers: dict[str, Any]) -> ReadOptions | None:
    """The options with one question answered from the truth; None where the truth has no answer or it was given."""
    about = SUBJECTS.get(about, about)
    value, whole = answers.get(about), answers.get(f"all_{about}")
    if about == "offline" and answers.get("right") and options.right is None:
        new = replace(options, right=answers["right"])
    elif value and about in ("unit", "decimal", "sheet"):
        new = replace(options, **{about: value})
    elif value and about in ROLES:
        new = replace(options, columns={**options.columns, about: value})
    elif whole and about in ("club", "swing", "player"):
        new = replace(options, **{about: whole})
    else:
        return None
    return new if new != options else None


def with_answers(content: bytes, path: Path, truth: dict[str, Any]) -> tuple[dict[str, Any], int, dict[str, Any]]:
    """The reading after its questions were answered, how many answers it took, and the truth that then holds: a unit that
    was answered is ambiguous no more, even where another question has no answer in the truth and stays open."""
    options, given = ReadOptions(), 0
    reading = read(content, path, options)
    for _ in range(6):
        open_ = [str(q["about"]) for q in reading["questions"]]
        new = next((o for a in open_ if (o := answered(options, a, truth.get("answers", {})))), None)
        if new is None:
            break
        options, given = new, given + 1
        reading = read(content, path, options)
    settled = {"unit": options.unit, "decimal": options.decimal}
    if truth["ambiguous"] and all(settled.get(a) for a in many(truth["ambiguous"])):
        truth = {**truth, "ambiguous": None, "doubtful": []}
    if given and not reading["questions"]:
        truth = {**truth, "ambiguous": None, "doubtful": []}
    return reading, given, truth


def run(
    tables: list[tuple[str, tuple[str, ...], bytes, Path, dict[str, Any]]], answer: bool
) -> list[tuple[str, tuple[str, ...], Verdict, int, str]]:
    out = []
    for name, twists, content, path, truth in tables:
        if answer:
            reading, given, truth = with_answers(content, path, truth)
        else:
            reading, given = read(content, path, ReadOptions()), 0
        verdict = judge(truth, reading)
        note = reading.get("broke") or reading.get("error") or ""
        if reading.get("broke"):
            verdict.counts["broke"] += 1
        out.append((name, twists, verdict, given, note))
    return out


def foreign(folder: Path, third: str) -> list[tuple[str, tuple[str, ...], bytes, Path, dict[str, Any]]]:
    out = []
    for n, path in enumerate(sorted(folder.glob("*.json"))):
        if third != "all" and (n % 3 == 0) != (third == "tune"):
            continue
        file = next(p for p in sorted(folder.glob(path.stem + ".*")) if p.suffix != ".json")
        out.append((path.stem, (), file.read_bytes(), file, json.loads(path.read_text(encoding="utf-8"))))
    return out


def twisted(
    first: int, count: int, base: Path | None
) -> list[tuple[str, tuple[str, ...], bytes, Path, dict[str, Any]]]:
    """Cases of these seeds, on simulated tables or on the balls of a folder of tables with truth."""
    truths = [json.loads(p.read_text(encoding="utf-8")) for p in sorted(base.glob("*.json"))] if base else []
    truths = [t for t in truths if sum(b["use"] and "count" not in b for b in t["balls"]) > 5]
    works = [base_from_truth(t, Random(n)) for n, t in enumerate(truths)]
    cases = (make_case(seed, works[seed % len(works)] if works else None) for seed in range(first, first + count))
    return [(str(c.seed), c.twists, c.content, Path("/nowhere") / c.name, c.truth) for c in cases]


def line(name: str, counts: Counter[str], more: str = "") -> str:
    columns = (
        *OUTCOMES,
        "refused right",
        "refused wrong",
        "broke",
        "tables",
        "questions",
        "needless questions",
        "needed, not asked",
    )
    return (
        f"{name:<18}"
        + "  ".join(f"{c} {counts[c]}" for c in columns if counts[c] or c in ("right", "silently wrong", "invented"))
        + more
    )


def report(title: str, results: list[tuple[str, tuple[str, ...], Verdict, int, str]], show: bool, each: bool) -> None:
    print(f"\n{title}")
    for name, twists, verdict, given, note in results:
        if each:
            asked = f"  asked: {', '.join(verdict.asked)}" if verdict.asked else ""
            print(
                line(name, verdict.counts, f"{asked}  answers given: {given}" if given else asked),
                f"| {note[:90]}" if note else "",
            )
        if show and verdict.wrong:
            print(f"   {name} {' + '.join(twists)}", *verdict.wrong, sep="\n      ")
    totals = tally([(twists, verdict) for _, twists, verdict, _, _ in results])
    for name, counts in sorted(totals.items(), key=lambda item: (item[0] == "all", item[0])):
        print(line(name, counts))
    balls = sum(totals["all"][o] for o in OUTCOMES if o != "invented") or 1
    good = totals["all"]["right"] + totals["all"]["covered"]
    asked = [len(v.asked) + g for _, _, v, g, _ in results]
    print(
        f"right or covered {good} of {balls} ({100 * good / balls:.1f} %), silently wrong {totals['all']['silently wrong']}, invented {totals['all']['invented']}; questions a table: median {median(asked) if asked else 0}, most {max(asked, default=0)}"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--answer", action="store_true")
    parser.add_argument("--twists", type=int, default=500)
    parser.add_argument("--seed", type=int, default=10_000)
    parser.add_argument("--third", choices=("tune", "report", "all"), default="all")
    parser.add_argument("--show", action="store_true", help="the first wrong balls of each table")
    parser.add_argument("--base", type=Path, help="twist the balls of this folder's tables instead of simulated ones")
    parser.add_argument("--truth", type=Path, default=FOREIGN)
    asked = parser.parse_args()
    if asked.truth.is_dir():
        report(
            f"Tables by others ({asked.third})",
            run(foreign(asked.truth, asked.third), asked.answer),
            asked.show,
            each=True,
        )
    start = time.perf_counter()
    cases = twisted(asked.seed, asked.twists, asked.base)
    made = time.perf_counter() - start
    if cases:
        report(
            f"Twists, seeds {asked.seed} to {asked.seed + asked.twists - 1} ({asked.twists / made:.0f} made in a second)",
            run(cases, asked.answer),
            asked.show,
            each=False,
        )


if __name__ == "__main__":
    main()
