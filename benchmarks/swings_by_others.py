"""Today's swing check on hard copies of the open clips, and on drawn players, made without sight of how it measures.

    python benchmarks/swings_by_others.py [--cache DIR] [--half tuned|reported|all] [--conditions a,b] [--clips o01_plain,o04_left]
        [--drawn face_on,down_the_line | --drawn all] [--list] [--make-only]

Without options a short selection runs (a quarter of an hour on two cores). Tune on the half `tuned` (clips o01, o03, o05, o07, o09),
tell the other; the drawn players are for telling only. Answers are kept in the cache by a fingerprint of the program's swing room.
"""

import argparse
import hashlib
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from worlds.clips_degrade import CONDITIONS, make_copy
from worlds.clips_judge import Tally, judge, table
from worlds.clips_render import KINDS, make_drawn
from worlds.clips_source import REPORTED, TUNED

ROOT = Path(__file__).resolve().parents[1]
PROGRAM = Path(sys.executable).with_name("threequarter")
SHORT = (
    "plain",
    "darker_70",
    "blur_3",
    "fps_24",
    "crf_40",
    "roll_6",
    "hand_held",
    "ends_after_impact",
    "starts_mid_backswing",
    "slow_4",
    "no_ball",
    "passer_front_top",
    "abandoned",
)
SHORT_DRAWN = ("face_on", "az_70", "down_the_line", "rolled_5")
SHORT_CLIPS = (TUNED[0], REPORTED[1])
HALVES = {"tuned": TUNED, "reported": REPORTED, "all": TUNED + REPORTED}
TIMEOUT_S = 1200


def fingerprint() -> str:
    """Changes when the program's swing room does."""
    parts = sorted((ROOT / "src" / "threequarter" / "swing").glob("*.py"))
    return hashlib.sha256(b"".join(part.read_bytes() for part in parts)).hexdigest()[:12]


def answer(clip: Path, answers: Path) -> dict[str, object]:
    """What the program says of a clip, kept; a clip it refuses gives no swings and the refusal's words."""
    kept = answers / f"{clip.parent.name}__{clip.stem}.json"
    if kept.exists():
        said: dict[str, object] = json.loads(kept.read_text())
        return said
    command = [str(PROGRAM), "swing", str(clip), "--json", "-"]
    done = subprocess.run(command, capture_output=True, text=True, timeout=TIMEOUT_S, preexec_fn=lambda: os.nice(10))
    if done.returncode not in (0, 2):
        raise RuntimeError(f"{clip}: the program stopped with {done.returncode}\n{done.stderr[-2000:]}")
    said = (
        json.loads(done.stdout[done.stdout.index("{") :])
        if done.returncode == 0
        else {"swings": [], "refused": done.stderr.strip()}
    )
    answers.mkdir(parents=True, exist_ok=True)
    kept.write_text(json.dumps(said))
    return said


def main() -> None:
    """Makes the copies, asks, judges, prints."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cache", type=Path, default=Path(tempfile.gettempdir()) / "threequarter-clips")
    parser.add_argument("--half", choices=tuple(HALVES))
    parser.add_argument("--conditions")
    parser.add_argument("--clips")
    parser.add_argument("--drawn", default="")
    parser.add_argument("--list", action="store_true", help="only name the conditions")
    parser.add_argument("--make-only", action="store_true", help="make the clips and their truth, ask nothing")
    given = parser.parse_args()
    if given.list:
        for name, rule in CONDITIONS.items():
            print(f"{name:26s} an honest answer: {' or '.join(rule.expected)}")
        for name, scene in KINDS.items():
            print(f"--drawn {name:18s} an honest answer: {' or '.join(scene.expected)}")
        return
    tallies: dict[str, Tally] = {}
    answers = given.cache / "answers" / fingerprint()
    for clip in chosen(given):
        if given.make_only:
            print(clip)
            continue
        truth = json.loads(clip.with_suffix(".json").read_text())
        said = answer(clip, answers)
        tally = judge(said, truth)
        tallies.setdefault(truth["condition"], Tally()).add(tally)
        print(
            f"{truth['condition']}/{clip.stem}: found {tally.counts['found']} of {tally.counts['true']}, false {tally.counts['false']}",
            file=sys.stderr,
        )
    if tallies:
        print(table(tallies))


def chosen(given: argparse.Namespace) -> Iterator[Path]:
    """The asked-for clips, one after the other, each made when it is its turn."""
    short = not (given.half or given.conditions or given.clips or given.drawn)
    conditions = SHORT if short else tuple(given.conditions.split(",")) if given.conditions else tuple(CONDITIONS)
    clips = SHORT_CLIPS if short else tuple(given.clips.split(",")) if given.clips else HALVES[given.half or "all"]
    if unknown := [name for name in conditions if name not in CONDITIONS] + [
        name for name in clips if name not in HALVES["all"]
    ]:
        sys.exit(f"no such condition or clip: {', '.join(unknown)}; --list names the conditions")
    if given.drawn and not (given.conditions or given.clips or given.half):
        conditions = ()
    drawn = (
        tuple(KINDS)
        if given.drawn == "all"
        else tuple(given.drawn.split(","))
        if given.drawn
        else SHORT_DRAWN
        if short
        else ()
    )
    if unknown := [name for name in drawn if name not in KINDS]:
        sys.exit(f"no such drawn player: {', '.join(unknown)}; --list names them")
    for kind in drawn:
        yield make_drawn(kind, given.cache)
    for condition in conditions:
        for clip in clips:
            yield make_copy(clip, condition, given.cache)


if __name__ == "__main__":
    main()
