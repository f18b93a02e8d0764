"""A table of 300 000 balls taken in by the command, killed with -9 at moments spread over all it does: all of it is there or nothing.

    python -m tests.torture.large_table [--balls 300000] [--kills 5] [--seed 1]

One undisturbed run says how long it takes. After each kill the database has to be sound, with no ball of the table or with all, what was
there before untouched; the same command again takes all of it in, once.
"""

import argparse
import json
import os
import random
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
BEFORE = "Club,Swing,Carry (m)\n54,waist,30.2\n54,waist,31.4\n"


def take_in(table: Path, player: str, data: Path, wait_s: float | None = None) -> bool:
    """Runs the command, killed after so many seconds; whether it came to its end."""
    command = [sys.executable, "-m", "threequarter", "import", str(table), "--for", player, "--data", str(data)]
    env = {**os.environ, "PYTHONPATH": str(ROOT / "src"), "THREEQUARTER_BACKUPS": "off"}
    child = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=env, text=True)
    try:
        said, _none = child.communicate(timeout=wait_s)
    except subprocess.TimeoutExpired:
        child.kill()
        child.communicate()
        return False
    assert child.returncode == 0, said
    return True


def counted(data: Path) -> tuple[str, int]:
    """Whether the file is sound, and how many balls it holds."""
    on = sqlite3.connect(data / "threequarter.db")
    try:
        return on.execute("PRAGMA integrity_check").fetchone()[0], on.execute("SELECT count(*) FROM ball").fetchone()[0]
    finally:
        on.close()


def large_table(balls: int, kills: int, seed: int) -> dict[str, Any]:
    """Runs the rig; under "bad" each kill that left something half."""
    rng, ended, bad = random.Random(seed), Counter[str](), list[str]()
    with tempfile.TemporaryDirectory(prefix="threequarter-large-") as scratch:
        folder = Path(scratch)
        first, large = folder / "first.csv", folder / "large.csv"
        first.write_text(BEFORE)
        rows = (f"{(50, 54, 58)[n % 3]},{('waist', 'chest')[n % 2]},{30 + n % 900 / 10:.1f}\n" for n in range(balls))
        large.write_text("Club,Swing,Carry (m)\n" + "".join(rows))
        take_in(first, "Wren Sedge", folder / "whole")
        begun = time.monotonic()
        take_in(large, "Ada Quill", folder / "whole")
        takes = time.monotonic() - begun
        assert counted(folder / "whole") == ("ok", balls + 2)
        for number in range(kills):
            data = folder / f"killed-{number}"
            take_in(first, "Wren Sedge", data)
            at = takes * (number + rng.random()) / kills
            ended["killed" if not take_in(large, "Ada Quill", data, at) else "ended before"] += 1
            sound, there = counted(data)
            ended[f"{'all' if there == balls + 2 else 'none' if there == 2 else 'half'}"] += 1
            if sound != "ok" or there not in (2, balls + 2):
                bad.append(f"killed after {at:.1f} s: {sound}, {there} balls")
        take_in(large, "Ada Quill", data)
        if counted(data) != ("ok", balls + 2):
            bad.append(f"taken in again: {counted(data)}")
    return {"balls": balls, "takes_s": round(takes, 1), "seed": seed, "ended": dict(ended), "bad": bad}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--balls", type=int, default=300_000)
    parser.add_argument("--kills", type=int, default=5)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    told = large_table(chosen.balls, chosen.kills, chosen.seed)
    sys.stdout.write(json.dumps(told) + "\n")
    sys.exit(1 if told["bad"] or not told["ended"].get("killed") else 0)


if __name__ == "__main__":
    main()
