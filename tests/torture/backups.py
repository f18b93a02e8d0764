"""Backups while balls are written as fast as the disk takes them, and backup and restore killed with -9 at random moments.

    python tests/torture/backups.py [--backups 200] [--kills 50] [--rate 500] [--seed 1] [--url postgresql://...]

Each backup must restore to a state that existed: per writer the balls of a prefix of what it sent, at least what was acknowledged
before the backup began, no half batch, films with their hashes. A killed backup leaves the file that was there before, or a
whole new one; a killed restore leaves the old rows and films or the new ones whole. A planted fault (--plant torn, --plant
film) shows that the rig would see one: it must then end with an error.
"""

import argparse
import contextlib
import functools
import hashlib
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import IO, Any

from sqlalchemy import text

from threequarter.golf.errors import NotNowError, UserError
from threequarter.store.backup.backup import backup, check_backup
from threequarter.store.backup.restore import restore
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.store import Store

BATCH = 25
BATCHES = 8
ROUND = 20


class Writer:
    """A process that sends batches of balls, at most `rate` balls a second, with a ledger of what it sent and what was acknowledged."""

    def __init__(self, folder: Path, which: int, rate: float, url: str | None) -> None:
        self.which, self.ledger = which, folder / f"ledger{which}"
        self.ledger.touch()
        command = [
            sys.executable,
            __file__,
            "--write",
            str(folder / "a"),
            str(which),
            str(rate),
            str(self.ledger),
            url or "",
        ]
        self.child = subprocess.Popen(command)

    def count(self, what: str) -> int:
        """How many balls were "sent" or "acknowledged" by now."""
        lines = [line.split() for line in self.ledger.read_text().split("\n")[:-1]]
        return max((int(number) for kind, number in lines if kind == what), default=0)

    def end(self) -> None:
        self.child.terminate()
        self.child.wait()


def write(folder: Path, which: int, rate: float, ledger: Path, url: str | None) -> None:
    """What a writer does until it is ended."""
    with Store(folder, url) as store, ledger.open("a") as told:
        bucket, sent, begun = PhoneBalls(store), 0, time.monotonic()
        while True:
            session = _again(lambda: bucket.begin(f"Player {which}"))
            for _ in range(BATCHES):
                balls = [
                    {
                        "key": f"w{which:02d}-{sent + i:08d}",
                        "club": "54",
                        "swing": "waist",
                        "carry": 30 + i,
                        "unit": "yd",
                    }
                    for i in range(BATCH)
                ]
                sent += BATCH
                _tell(told, f"sent {sent}")
                _again(functools.partial(bucket.take, session, balls))
                _tell(told, f"acknowledged {sent}")
                time.sleep(max(0.0, begun + sent / rate - time.monotonic()))


def _again(act: Callable[[], Any]) -> Any:
    """Tries until it is taken, as a phone does."""
    while True:
        with contextlib.suppress(NotNowError):
            return act()


def _tell(told: IO[str], line: str) -> None:
    told.write(f"{line}\n")
    told.flush()


def in_rounds(count: int, rate: float, seed: int) -> dict[str, Any]:
    """So many backups under writing, of a fresh store now and then: one that grows all day would be proved slower and slower."""
    rounds = [while_writing(min(ROUND, count - at), rate, seed + at) for at in range(0, count, ROUND)]
    return {
        "backups": count,
        "balls": sum(one["balls"] for one in rounds),
        "restored_to_no_state_that_existed": 0,
        "balls_a_second": round(sum(one["balls_a_second"] for one in rounds) / len(rounds)),
        "longest_backup_s": max(one["longest_backup_s"] for one in rounds),
    }


def while_writing(count: int, rate: float, seed: int, url: str | None = None, plant: str = "") -> dict[str, Any]:
    """So many backups under writing; returns what was counted. Raises AssertionError for one that is no state that existed."""
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory(prefix="threequarter-torture-") as place:
        folder = Path(place)
        store = Store(folder / "a", url)
        film = _film(store, rng)
        writers = [Writer(folder, which, rate / 2, url) for which in range(2)]
        begun, most = time.monotonic(), 0.0
        try:
            while not all(writer.count("acknowledged") for writer in writers):
                assert all(writer.child.poll() is None for writer in writers), "a writer stopped"
                time.sleep(0.05)
            for number in range(count):
                time.sleep(rng.uniform(0, 0.2))
                assert all(writer.child.poll() is None for writer in writers), "a writer stopped"
                before = [writer.count("acknowledged") for writer in writers]
                at = time.monotonic()
                backup(store, folder / "b.zip")
                most = max(most, time.monotonic() - at)
                after = [writer.count("sent") for writer in writers]
                restore(folder / "b.zip", folder / f"r{number}")
                _judge(folder / f"r{number}", writers, before, after, film, plant)
                shutil.rmtree(folder / f"r{number}")
        finally:
            for writer in writers:
                writer.end()
            balls = sum(writer.count("acknowledged") for writer in writers)
            took = time.monotonic() - begun
            store.close()
    return {
        "backups": count,
        "balls": balls,
        "balls_a_second": round(balls / took),
        "longest_backup_s": round(most, 1),
        "restored_to_no_state_that_existed": 0,
    }


def _film(store: Store, rng: random.Random) -> bytes:
    film = rng.randbytes(200_000)
    clips = Clips(store)
    clips.take(clips.begin("swing.mp4", len(film)), 0, film)
    return hashlib.sha256(clips.file(1).read_bytes()).digest()


def _judge(folder: Path, writers: list[Writer], before: list[int], after: list[int], film: bytes, plant: str) -> None:
    with Store(folder) as again:
        if plant == "torn":
            with again.writing() as session:
                session.execute(text("DELETE FROM ball WHERE id = (SELECT min(id) FROM ball)"))
        if plant == "film":
            Clips(again).file(1).write_bytes(b"x")
        for writer, least, most in zip(writers, before, after, strict=True):
            with again.reading() as session:
                query = text("SELECT client_key FROM ball WHERE client_key LIKE :mine ORDER BY client_key")
                keys = list(session.scalars(query, {"mine": f"w{writer.which:02d}-%"}))
            wanted = [f"w{writer.which:02d}-{n:08d}" for n in range(len(keys))]
            assert keys == wanted, f"writer {writer.which}: no prefix of what was sent"
            assert len(keys) % BATCH == 0, f"writer {writer.which}: half a batch"
            assert least <= len(keys) <= most, f"writer {writer.which}: {least} <= {len(keys)} <= {most} does not hold"
        assert hashlib.sha256(Clips(again).file(1).read_bytes()).digest() == film, "the film is another one"


def killed(count: int, seed: int, url: str | None = None) -> dict[str, Any]:
    """So many kills of a backup and as many of a restore; returns what was counted. Raises AssertionError where a half thing is left."""
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory(prefix="threequarter-torture-") as place:
        folder = Path(place)
        states = {name: _state_to_go_between(folder, name, rng) for name in ("old", "new")}
        usual = {
            "backup": _how_long(folder, _backup_command(folder, folder / "old")),
            "restore": _how_long(folder, _restore_command(folder, folder / "warm", "old")),
        }
        found = {"backups_killed": 0, "restores_killed": 0, "restored_old": 0, "restored_new": 0, "half": 0}
        target = folder / "target.zip"
        for number in range(count):
            target.write_bytes((folder / "new.zip").read_bytes())
            found["backups_killed"] += _kill(
                _backup_command(folder, folder / "old"), rng.uniform(0.3, 1.05) * usual["backup"]
            )
            kept = check_backup(target)
            assert kept["counts"]["ball"] in (states["old"]["ball"], states["new"]["ball"])
            place_ = folder / f"live{number}"
            restore(folder / "old.zip", place_)
            found["restores_killed"] += _kill(
                _restore_command(folder, place_, "new"), rng.uniform(0.3, 1.05) * usual["restore"]
            )
            which = _which(place_, states)
            assert which is not None, f"a half restore in {place_}"
            found[f"restored_{which}"] += 1
            _no_rest(place_)
            shutil.rmtree(place_)
        leftovers = [path.name for path in folder.glob(".backup-*")]
        Store(folder / "old").close()
        backup_again = check_backup(target)
        assert backup_again
        assert len(leftovers) <= found["backups_killed"]
    return found


def _state_to_go_between(folder: Path, name: str, rng: random.Random) -> dict[str, Any]:
    with Store(folder / name) as store:
        bucket = PhoneBalls(store)
        balls = 2000 if name == "new" else 1500
        session = bucket.begin(f"Player {name}")
        for at in range(0, balls, 500):
            bucket.take(
                session,
                [
                    {"key": f"{name}-{at + i:06d}", "club": "54", "swing": "waist", "carry": 40, "unit": "yd"}
                    for i in range(500)
                ],
            )
        clips = Clips(store)
        for _ in range(3):
            film = rng.randbytes(400_000)
            clips.take(clips.begin("swing.mp4", len(film)), 0, film)
        backup(store, folder / f"{name}.zip")
        return {"ball": balls, "films": [hashlib.sha256(clips.file(n).read_bytes()).hexdigest() for n in (1, 2, 3)]}


def _which(place: Path, states: dict[str, dict[str, Any]]) -> str | None:
    """Which of the two states stands in a folder, its rows and its films; None for a mixture."""
    with Store(place) as store:
        with store.reading() as session:
            balls = session.execute(text("SELECT count(*) FROM ball")).scalar()
            sound = session.execute(text("PRAGMA integrity_check")).scalar()
        films = [hashlib.sha256(Clips(store).file(n).read_bytes()).hexdigest() for n in (1, 2, 3)]
    assert sound == "ok", sound
    return next((name for name, state in states.items() if (state["ball"], state["films"]) == (balls, films)), None)


def _no_rest(place: Path) -> None:
    """After the store was opened, nothing half-made is left but what the next act sweeps."""
    rest = [path.name for path in (place / "clips").iterdir() if not path.name.isdigit()]
    assert rest == [], rest


def _backup_command(folder: Path, data: Path) -> list[str]:
    return [sys.executable, "-m", "threequarter", "backup", str(folder / "target.zip"), "--data", str(data)]


def _restore_command(folder: Path, data: Path, name: str) -> list[str]:
    return [
        sys.executable,
        "-m",
        "threequarter",
        "restore",
        str(folder / f"{name}.zip"),
        "--data",
        str(data),
        "--replace",
    ]


def _how_long(folder: Path, command: list[str]) -> float:
    begun = time.monotonic()
    subprocess.run(command, check=True, capture_output=True, cwd=folder)
    return time.monotonic() - begun


def _kill(command: list[str], after_s: float) -> bool:
    """Starts a command and kills it; whether it was still running."""
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    with contextlib.suppress(subprocess.TimeoutExpired):
        child.wait(after_s)
        return False
    os.kill(child.pid, signal.SIGKILL)
    child.wait()
    return True


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--backups", type=int, default=200)
    parser.add_argument("--kills", type=int, default=50)
    parser.add_argument("--rate", type=float, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--url", default=None)
    parser.add_argument("--write", nargs=5, help=argparse.SUPPRESS)
    parser.add_argument("--plant", choices=["", "torn", "film"], default="")
    chosen = parser.parse_args()
    if chosen.write:
        folder, which, rate, ledger, url = chosen.write
        write(Path(folder), int(which), float(rate), Path(ledger), url or None)
    try:
        told = {}
        if chosen.backups and chosen.url is None and not chosen.plant:
            told = in_rounds(chosen.backups, chosen.rate, chosen.seed)
        elif chosen.backups:
            told = while_writing(chosen.backups, chosen.rate, chosen.seed, chosen.url, chosen.plant)
        told |= killed(chosen.kills, chosen.seed) if chosen.kills else {}
    except UserError as error:
        raise AssertionError(str(error)) from error
    sys.stdout.write(json.dumps({"seed": chosen.seed} | told) + "\n")


if __name__ == "__main__":
    main()
