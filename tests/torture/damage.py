"""A data folder whose database file was damaged: every command and page says so in words, never a traceback, nothing worse.

    python tests/torture/damage.py [--files 50] [--seed 1]

Each file is a sound folder's with one kind of damage: a byte flipped, a page zeroed, a run of noise, the end cut off. The
commands run as a person runs them; what is counted is what a person saw. A crash that is planted (--plant) must be caught.
"""

import argparse
import io
import random
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from pathlib import Path

import click
from click.testing import CliRunner

from threequarter.cli.main import group, run

COMMANDS = (
    ("doctor",),
    ("export", "{out}/all.json"),
    ("export", "{out}/balls.csv"),
    ("backup", "{out}/made.zip"),
    ("import", "{balls}", "--for", "Robin Sedge"),
)
CARRIES = {"waist": (38, 40, 37, 39, 41, 36), "chest": (55, 53, 57, 54, 56, 58)}
BALLS = "club,swing,carry (yd)\n" + "".join(f"54,{swing},{carry}\n" for swing in CARRIES for carry in CARRIES[swing])
DAMAGES = ("flip", "zero", "noise", "cut")


@dataclass
class Seen:
    """What came of all calls: how they ended, and the crashes with what was asked."""

    ended: Counter[str] = field(default_factory=Counter)
    crashes: list[str] = field(default_factory=list)


def damaged(sound: bytes, kind: str, dice: random.Random) -> bytes:
    """The file with one damage, past nothing: the header too may be hit."""
    page, whole = 4096, bytearray(sound)
    at = dice.randrange(len(whole))
    if kind == "flip":
        whole[at] ^= 1 << dice.randrange(8)
    elif kind == "zero":
        start = at // page * page
        whole[start : start + page] = bytes(page)
    elif kind == "noise":
        whole[at : at + 64] = dice.randbytes(len(whole[at : at + 64]))
    else:
        del whole[at:]
    return bytes(whole)


def sound_folder(where: Path) -> bytes:
    """The database file of a folder with a player, two imports and a typed session."""
    balls = where / "balls.csv"
    balls.write_text(BALLS)
    data = where / "sound"
    for name in ("Robin Sedge", "Ash Fescue"):
        answer = CliRunner().invoke(group, ["import", str(balls), "--for", name, "--data", str(data)])
        if answer.exit_code:
            raise SystemExit(f"the sound folder could not be made: {answer.output} {answer.exception!r}")
    return (data / "threequarter.db").read_bytes()


def ask(arguments: list[str], seen: Seen, what: str, call: Callable[[list[str]], int]) -> None:
    """One command; whatever is not an exit with words is a crash."""
    try:
        seen.ended[f"{arguments[0]}: exit {call(arguments)}"] += 1
    except Exception as error:  # noqa: BLE001 - whatever it is, a person would have seen it
        seen.crashes.append(f"{what} {arguments[0]}: {type(error).__name__}: {str(error)[:160]}")


def run_command(arguments: list[str]) -> int:
    """A command as a person runs it: 0, or 2 with words."""
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        try:
            run(arguments)
        except SystemExit as end:
            return int(end.code or 0)
    return 0


def run_all(where: Path, seen: Seen, *, files: int, seed: int) -> None:
    """So many damaged files, every command on each; the kinds of damage take turns."""
    sound = sound_folder(where)
    data, out = where / "data", where / "out"
    for number in range(files):
        kind = DAMAGES[number % len(DAMAGES)]
        spoiled = damaged(sound, kind, random.Random(f"{seed} {number}"))
        for command in COMMANDS:
            for folder in (data, out):
                shutil.rmtree(folder, ignore_errors=True)
                folder.mkdir()
            (data / "threequarter.db").write_bytes(spoiled)
            filled = [part.format(out=out, balls=where / "balls.csv") for part in command]
            ask([*filled, "--data", str(data)], seen, f"{kind} {number}", run_command)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--files", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--plant", action="store_true")
    options = parser.parse_args()
    seen = Seen()
    with tempfile.TemporaryDirectory() as place:
        run_all(Path(place), seen, files=options.files, seed=options.seed)
    if options.plant:
        ask(["doctor"], seen, "planted", lambda _: 1 // 0)
    for line, count in sorted(seen.ended.items()):
        click.echo(f"{count:6d}  {line}")
    click.echo(f"{len(seen.crashes)} tracebacks in {options.files} damaged files x {len(COMMANDS)} commands")
    for line in seen.crashes[:20]:
        click.echo("  " + line)
    sys.exit(bool(seen.crashes))


if __name__ == "__main__":
    main()
