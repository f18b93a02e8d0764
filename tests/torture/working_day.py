"""Server, worker and browser killed with -9 at random moments of a working day: typing, tables, clips, prints, all at once.

    python tests/torture/working_day.py [--kills 1000] [--seed 1] [--postgres]

Must hold: no acknowledged ball is missing or there twice, neither of a phone that sends nor of a page that said "kept"; each table
that was taken is taken in once, each print made once, each clip ended once (triggers in the database count); the database is sound;
the server answers again within 5 s. At the end faults are planted into what was found: a ball lost, one of a phone and one of
the page, a ball twice, work that ended twice; each must be caught.
"""

import argparse
import json
import os
import random
import signal
import sys
import threading
import time
from collections import Counter
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1]), str(Path(__file__).parents[2] / "src")]

import psutil  # noqa: E402
from sqlalchemy import create_engine, text  # noqa: E402
from tests.academy_support import SWINGS, Program, wait_until  # noqa: E402
from tests.torture.database_restarts import BALLS_OF, COUNT_ENDS, TABLE_ROWS, insist, take_in  # noqa: E402
from tests.torture.kills import Phone  # noqa: E402
from tests.torture.programs import place  # noqa: E402

from browser_support import ARGS, CHROMIUM, PHONE  # noqa: E402
from bucket_support import in_store, opened, until  # noqa: E402

HEALTHY_S = 5.0
PLANTS = ("lost", "lost on the page", "twice", "effect")
COUNT_ON_FILE = [
    "CREATE TABLE ended (clip_id integer, state text)",
    "CREATE TABLE ended_work (task_id integer, state text)",
    "CREATE TRIGGER clip_ends AFTER UPDATE ON clip WHEN NEW.state IN ('done', 'failed') AND NEW.state IS NOT OLD.state "
    "BEGIN INSERT INTO ended VALUES (NEW.id, NEW.state); END",
    "CREATE TRIGGER work_ends AFTER UPDATE ON task WHEN NEW.state IN ('done', 'failed') AND NEW.state IS NOT OLD.state "
    "BEGIN INSERT INTO ended_work VALUES (NEW.id, NEW.state); END",
]


class Page:
    """A browser on a profile of its own, in which somebody types; `kept` is what it said is kept."""

    def __init__(self, play: Any, profile: Path, where: str) -> None:
        self.play, self.profile, self.where = play, profile, where
        self.kept: list[float] = []
        self.open()

    def open(self) -> None:
        context = self.play.chromium.launch_persistent_context(
            str(self.profile), executable_path=CHROMIUM, args=ARGS, viewport=PHONE
        )
        self.page = context.pages[0]
        opened(self.page, self.where)

    def type(self, number: int) -> None:
        """One ball, noted once it is in the page's own store."""
        carry = 30 + (number % 400) / 10
        before = self.page.evaluate(in_store("BallStore.all().then((all) => all.length)"))
        self.page.keyboard.type(f"{carry:.1f}")
        self.page.keyboard.press("Enter")
        until(self.page, in_store(f"BallStore.all().then((all) => all.length > {before})"))
        self.kept.append(carry)

    def kill(self) -> None:
        mine = [
            one
            for one in psutil.process_iter(["cmdline"])
            if any(str(self.profile) in part for part in one.info["cmdline"] or ())
        ]
        for one in mine:
            os.kill(one.pid, signal.SIGKILL)
        psutil.wait_procs(mine, timeout=300)
        (self.profile / "SingletonLock").unlink(missing_ok=True)


class Others:
    """Tables, prints and clips that come all day; what was taken is noted."""

    def __init__(self, program: Program, session: int, clinic: int, folder: Path, stop: threading.Event) -> None:
        self.program, self.session, self.clinic, self.folder, self.stop = program, session, clinic, folder, stop
        self.tables: list[int] = []
        self.prints: list[str] = []
        self.clips: list[int] = []
        self.threads = [
            threading.Thread(target=take_in, args=([program, program], stop, self.tables), daemon=True),
            threading.Thread(target=self._print, daemon=True),
            threading.Thread(target=self._film, daemon=True),
        ]
        for thread in self.threads:
            thread.start()

    def _print(self) -> None:
        while not self.stop.wait(15.0):
            self.prints.append(insist(self.program, f"/clinics/{self.clinic}/print", {}, self.stop))

    def _film(self) -> None:
        number = 0
        while not self.stop.wait(5.0):
            film = SWINGS / "o02_waist.mp4"
            if number:
                film = self.folder / f"bad-{number}.mp4"
                film.write_bytes(random.Random(number).randbytes(60_000))
            self.clips.append(self.program.upload(film, self.session, part=20_000))
            number += 1


def working_day(kills: int, seed: int, *, postgres: bool = False) -> dict[str, Any]:
    """Runs the rig; returns what was counted. Raises AssertionError with it where a promise broke, or a planted fault is not seen."""
    from playwright.sync_api import sync_playwright

    with place("day", postgres=postgres) as here:
        folder, data, url, ends = here.folder, here.data, here.url, here.ends
        programs = here.start("off")  # a backup would refuse the tables of the rig
        engine = create_engine(url or f"sqlite:///{data / 'threequarter.db'}")
        ends.callback(engine.dispose)
        with engine.begin() as connection:
            for statement in [COUNT_ENDS] if url else COUNT_ON_FILE:
                connection.execute(text(statement))
        clinic, session = programs[0].begin_clinic()
        stop = threading.Event()
        phones = [Phone(programs[0], session, which, stop) for which in range(2)]  # type: ignore[arg-type]
        for one in phones:
            one.start()
        others = Others(programs[0], session, clinic, folder, stop)
        where = programs[0].form("/bucket", player="Ida Fern", unit="yd", clubs="54, 58", swings="waist, chest")
        page = Page(ends.enter_context(sync_playwright()), folder / "phone", where)
        ends.callback(page.kill)
        slowest, counts = _kill(programs, page, kills, random.Random(seed))
        stop.set()
        for thread in (*phones, *others.threads):
            thread.join(120)
            assert not thread.is_alive(), "somebody still waits for an answer"
        page.page.evaluate("window.dispatchEvent(new Event('online'))")
        until(page.page, in_store("BallStore.all().then((all) => !all.some(BallStore.waits))"))
        with engine.connect() as look:
            wait_until(lambda: not _open(look), 300, "all work ends")
        page.kill()
        for program in programs:
            program.kill()
        with engine.connect() as look:
            found = _judge(look, phones, page, others, "")
            for plant in PLANTS:
                _must_be_caught(look, phones, page, others, plant)
            return found | {
                "planted_and_caught": len(PLANTS),
                "kills": counts,
                "seed": seed,
                "database": look.dialect.name,
                "healthy_again_s": round(slowest, 2),
            }


def _kill(programs: list[Program], page: Page, kills: int, rng: random.Random) -> tuple[float, dict[str, int]]:
    slowest, counts, number = 0.0, Counter[str](), 0
    for _ in range(kills):
        over = time.monotonic() + rng.uniform(0.05, 0.8)
        while time.monotonic() < over:
            number += 1
            page.type(number)
        victim = rng.choices(("server", "worker", "browser"), (5, 3, 2))[0]
        counts[victim] += 1
        if victim == "browser":
            page.kill()
            page.open()
            continue
        program = programs[victim == "worker"]
        program.kill()
        begun = time.monotonic()
        program.begin()
        if victim == "server":
            program.ready()
            wait_until(lambda: program.get("/health"), 60, "the server answers")  # noqa: B023 - asked at once
            slowest = max(slowest, time.monotonic() - begun)
    return slowest, dict(counts)


def _must_be_caught(look: Any, phones: list[Phone], page: Page, others: Others, plant: str) -> None:
    try:
        _judge(look, phones, page, others, plant)
    except AssertionError:
        return
    raise AssertionError(f"a planted fault was not seen: {plant}")


def _open(look: Any) -> int:
    look.rollback()
    asked = (
        "SELECT count(*) FROM clip WHERE state IN ('waiting', 'running')",
        "SELECT count(*) FROM task WHERE state NOT IN ('done', 'failed')",
    )
    return sum(int(look.execute(text(one)).scalar()) for one in asked)


def _judge(look: Any, phones: list[Phone], page: Page, others: Others, plant: str) -> dict[str, Any]:
    rows = [tuple(row) for row in look.execute(text("SELECT client_key, body FROM ball WHERE client_key IS NOT NULL"))]
    ended = Counter(row[0] for row in look.execute(text("SELECT clip_id FROM ended")))
    work = Counter(tuple(row) for row in look.execute(text("SELECT task_id, state FROM ended_work")))
    balls = {row[0]: row[1] for row in look.execute(text(BALLS_OF))}
    sound = look.execute(text("PRAGMA integrity_check")).scalar() if look.dialect.name == "sqlite" else "ok"
    if plant.startswith("lost"):
        of_phone = plant == "lost"
        rows.remove(next(row for row in rows if row[0].startswith("phone") is of_phone))
    elif plant == "twice":
        rows = [*rows, next(row for row in rows if row[0].startswith("phone"))]
    elif plant == "effect":
        work[next(iter(work))] += 1
    yards = {key: json.loads(body)["distance_m"] / 0.9144 for key, body in rows}
    sent = {key: carry for phone in phones for key, carry in phone.acknowledged.items()}
    typed = Counter(round(carry, 1) for key, carry in yards.items() if not key.startswith("phone"))
    found = {
        "acknowledged": len(sent),
        "missing": sum(round(yards.get(key, 0)) != carry for key, carry in sent.items()),
        "twice": len(rows) - len(yards),
        "typed_and_kept": len(page.kept),
        "typed_missing": (Counter(page.kept) - typed).total(),
        "typed_more_than_once": (typed - Counter(page.kept)).total(),
        "clips": len(others.clips),
        "clips_ended_not_once": sum(ended[clip] != 1 for clip in others.clips),
        "tables": len(others.tables),
        "prints": len([one for one in others.prints if one]),
        "work_ended": dict(Counter(state for _number, state in work)),
        "work_ended_not_once": sum(count != 1 for count in work.values())
        + len(work)
        - len({number for number, _ in work}),
        "tables_not_there_once": sum(balls.get(f"Player {number}") != TABLE_ROWS for number in others.tables),
        "integrity": sound,
    }
    zero = ("missing", "twice", "typed_missing", "clips_ended_not_once", "work_ended_not_once", "tables_not_there_once")
    if any(found[one] for one in zero) or sound != "ok" or "failed" in found["work_ended"]:
        raise AssertionError(found)
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--postgres", action="store_true")
    parser.add_argument(
        "--patient", action="store_true", help="count, but do not judge, how long a start took: the machine is busy"
    )
    chosen = parser.parse_args()
    found = working_day(chosen.kills, chosen.seed, postgres=chosen.postgres)
    sys.stdout.write(json.dumps(found) + "\n")
    if found["healthy_again_s"] > HEALTHY_S and not chosen.patient:
        raise AssertionError(found)


if __name__ == "__main__":
    main()
