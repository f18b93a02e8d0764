"""Thirty coaches of one academy at work for ten minutes, beside films, large tables and backups: no error, no ball lost, and how long answers take.

    python -m tests.torture.thirty_coaches [--coaches 30] [--minutes 10] [--postgres] [--seed 1]

Each coach is signed in, has a player with two days of balls, and does what a lesson does: looks at today, the roster, the player, the
chart, the keys, and sends balls in twos, with a pause of one to three seconds between. Beside them, without end, one after the other:
a film that a worker measures, a table of 9 000 balls, a backup. Counted is what a coach waits for; the three heavy ones only have to be
taken and to end. Times mean something only where nothing else uses the processors.
"""

import argparse
import json
import os
import random
import sys
import threading
import time
from collections import Counter, defaultdict
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]
import psutil  # noqa: E402
import requests  # noqa: E402
from sqlalchemy import select  # noqa: E402
from tests.academy_support import SWINGS, Program  # noqa: E402
from tests.torture.programs import place  # noqa: E402
from tests.web.academy_support import who  # noqa: E402

from threequarter.store.accounts.accounts import Accounts  # noqa: E402
from threequarter.store.accounts.current_user import as_user  # noqa: E402
from threequarter.store.accounts.sign_ins import SignIns  # noqa: E402
from threequarter.store.balls.phone_balls import PhoneBalls  # noqa: E402
from threequarter.store.database.schema import BallRow  # noqa: E402
from threequarter.store.store import Store  # noqa: E402

P95_S = 0.5
TABLE_ROWS = 9000
CLUBS, SWINGS_OF = ("50", "54", "58"), ("waist", "chest", "shoulder")


class Coach(threading.Thread):
    """One coach in one browser; `times` by what was asked for, `kept` the keys that the server said it has."""

    def __init__(self, address: str, cookie: str, number: int, day: int, over: float, seed: int) -> None:
        super().__init__(daemon=True)
        self.address, self.number, self.day, self.over = address, number, day, over
        self.rng = random.Random(f"{seed} {number}")
        self.asks = requests.Session()
        self.asks.cookies.set("threequarter_account", cookie)
        self.times: dict[str, list[float]] = defaultdict(list)
        self.kept: list[str] = []
        self.errors: list[str] = []

    def run(self) -> None:
        pages = {
            "today": "/",
            "roster": "/players",
            "player": f"/players/Player%20{self.number}",
            "days": f"/players/Player%20{self.number}/days",
            "session": f"/sessions/{self.day}",
            "keys": f"/bucket/{self.day}",
            "wedges": f"/sessions/{self.day}/wedges",
        }
        while time.monotonic() < self.over:
            if self.rng.random() < 0.5:
                self.balls()
            else:
                name = self.rng.choice(list(pages))
                self.ask(name, "GET", pages[name])
            time.sleep(self.rng.uniform(1, 3))

    def balls(self) -> None:
        keys = [f"coach-{self.number}-{len(self.kept) + n:05d}" for n in range(2)]
        sent = [
            {
                "key": key,
                "club": self.rng.choice(CLUBS),
                "swing": self.rng.choice(SWINGS_OF),
                "carry": round(self.rng.uniform(30, 70), 1),
                "unit": "yd",
            }
            for key in keys
        ]
        answer = self.ask("balls", "POST", f"/api/sessions/{self.day}/balls", json={"balls": sent})
        if answer is not None and all(one["state"] == "saved" for one in answer.json()["outcomes"]):
            self.kept += keys
        else:
            self.errors.append("balls were not saved")

    def ask(self, name: str, method: str, path: str, **more: Any) -> Any:
        begun = time.monotonic()
        try:
            answer = self.asks.request(method, self.address + path, timeout=60, headers={"accept": "text/html"}, **more)
        except requests.RequestException as error:
            self.errors.append(f"{name}: {type(error).__name__}")
            return None
        self.times[name].append(time.monotonic() - begun)
        if answer.status_code >= 400:
            self.errors.append(f"{name}: {answer.status_code}")
            return None
        return answer


class Beside(threading.Thread):
    """Films, large tables and backups, one after the other; what was taken is counted."""

    def __init__(self, address: str, cookie: str, day: int, over: float) -> None:
        super().__init__(daemon=True)
        self.address, self.day, self.over = address, day, over
        self.asks = requests.Session()
        self.asks.cookies.set("threequarter_account", cookie)
        self.taken, self.errors = Counter[str](), list[str]()

    def run(self) -> None:
        while time.monotonic() < self.over:
            for what in (self.film, self.table, self.backup):
                try:
                    what()
                    self.taken[what.__name__] += 1
                except (requests.RequestException, KeyError, AssertionError) as error:
                    self.errors.append(f"{what.__name__}: {error!r:.200}")
                time.sleep(2)

    def film(self) -> None:
        content = (SWINGS / "o02_waist.mp4").read_bytes()
        told = {"name": "a.mp4", "size": len(content), "session": self.day, "agree": "yes", "by_whom": "a guardian"}
        clip = self.post("/clips/begin", data=told).json()["id"]
        for at in range(0, len(content), 200_000):
            sent = self.asks.put(
                f"{self.address}/clips/{clip}/bytes?at={at}", data=content[at : at + 200_000], timeout=60
            )
            assert sent.status_code < 400, sent.status_code

    def table(self) -> None:
        rows = "".join(f"Table {self.taken['table']},58,chest,{30 + n % 9}.{n % 10}\n" for n in range(TABLE_ROWS))
        looked = self.post("/look", files={"file": ("large.csv", f"Player,Club,Swing,Carry (yd)\n{rows}".encode())})
        assert "/look/" in looked.url, looked.url
        self.post(looked.url.removeprefix(self.address).replace("/look/", "/keep/"), data={})

    def backup(self) -> None:
        self.post("/safekeeping/backup", data={})

    def post(self, path: str, **more: Any) -> Any:
        answer = self.asks.post(self.address + path, timeout=300, **more)
        assert answer.status_code < 400, f"{path}: {answer.status_code}"
        return answer


class Used:
    """What the machine was used for meanwhile: load, and processor time of server, worker and everything."""

    def __init__(self, programs: list[Program]) -> None:
        self.programs, self.begun = programs, time.monotonic()
        self.of_all = psutil.cpu_times()
        self.before = [self._of(one) for one in programs]

    @staticmethod
    def _of(program: Program) -> float:
        assert program.child is not None
        one = psutil.Process(program.child.pid).cpu_times()
        return float(one.user + one.system + one.children_user + one.children_system)

    def told(self) -> dict[str, Any]:
        """Cores used, on average; what a child that still runs has used is in "others"."""
        lasted, now = time.monotonic() - self.begun, psutil.cpu_times()
        busy = (sum(now) - now.idle - now.iowait) - (sum(self.of_all) - self.of_all.idle - self.of_all.iowait)
        spent = [self._of(one) - before for one, before in zip(self.programs, self.before, strict=True)]
        cores = {"server": spent[0], "worker": spent[1], "others": busy - sum(spent)}
        return {
            "cores_used": {name: round(one / lasted, 2) for name, one in cores.items()},
            "load_at_the_end": [round(one, 1) for one in os.getloadavg()],
        }


def furnish(store: Store, coaches: int, seed: int) -> tuple[str, list[tuple[str, int]]]:
    """The head's cookie; a cookie and a day with balls for each coach."""
    rng, made = random.Random(seed), []
    head = Accounts(store).add("head", "Kim Fescue")
    for number in range(coaches):
        account = Accounts(store).add("coach", f"Coach {number}")
        with as_user(who(store, account)):
            for which in range(2):
                day = PhoneBalls(store).begin(f"Player {number}", "yd")
                shots = [(club, swing) for club in CLUBS for swing in SWINGS_OF for _time in range(5)]
                PhoneBalls(store).take(
                    day,
                    [
                        {"key": f"old-{number}-{which}-{n}", "club": c, "swing": s, "carry": round(rng.gauss(50, 3), 1)}
                        | {"unit": "yd"}
                        for n, (c, s) in enumerate(shots)
                    ],
                )
        made.append((SignIns(store).begin(account), day))
    return SignIns(store).begin(head), made


def thirty_coaches(coaches: int, minutes: float, seed: int, *, postgres: bool) -> dict[str, Any]:
    """Runs the rig; returns what was counted."""
    with place("coaches", postgres=postgres) as here:
        with Store.open(here.data, here.url) as store:
            head, made = furnish(store, coaches, seed)
            with as_user(who(store, 1)):
                day = PhoneBalls(store).begin("Player of the head", "yd")
        programs = here.start(str(here.folder / "backups"))
        address, over = programs[0].address, time.monotonic() + 60 * minutes
        used = Used(programs)
        threads = [Coach(address, cookie, number, day_of, over, seed) for number, (cookie, day_of) in enumerate(made)]
        beside = Beside(address, head, day, over)
        for thread in (*threads, beside):
            thread.start()
        for thread in (*threads, beside):
            thread.join(60 * minutes + 600)
        spent = used.told()
        for program in programs:
            program.kill()
        faults = [
            line for program in programs for line in program.log.read_text().splitlines() if '"level": "error"' in line
        ]
        with Store.open(here.data, here.url) as store:
            there = _keys(store)
    return (
        _told(threads, beside, there)
        | {"faults": faults[:5]}
        | spent
        | {"coaches": coaches, "minutes": minutes, "seed": seed, "postgres": postgres}
    )


def _keys(store: Store) -> Counter[str]:
    with store.reading() as session:
        return Counter(session.scalars(select(BallRow.client_key).where(BallRow.client_key.startswith("coach-"))))


def _told(coaches: list[Coach], beside: Beside, there: Counter[str]) -> dict[str, Any]:
    by_name: dict[str, list[float]] = defaultdict(list)
    for coach in coaches:
        for name, times in coach.times.items():
            by_name[name] += times
    every = sorted(one for times in by_name.values() for one in times)
    sent = {key for coach in coaches for key in coach.kept}
    return {
        "answers": len(every),
        **_ranks(every),
        "of": {name: {"answers": len(times), **_ranks(sorted(times))} for name, times in sorted(by_name.items())},
        "acknowledged": len(sent),
        "missing": len(sent - there.keys()),
        "twice": sum(count > 1 for count in there.values()),
        "beside": dict(beside.taken),
        "errors": [one for coach in coaches for one in coach.errors][:20] + beside.errors[:20],
    }


def _ranks(times: list[float]) -> dict[str, float]:
    """Half, 95 and 99 of 100 answers came within so many seconds, and the slowest."""
    at = {f"p{share}_s": times[min(len(times) - 1, int(len(times) * share / 100))] for share in (50, 95, 99)}
    return {name: round(one, 3) for name, one in (at | {"slowest_s": times[-1]}).items()}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--coaches", type=int, default=30)
    parser.add_argument("--minutes", type=float, default=10.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--postgres", action="store_true")
    parser.add_argument(
        "--patient", action="store_true", help="count, but do not judge, how long it took: the machine is busy"
    )
    chosen = parser.parse_args()
    told = thirty_coaches(chosen.coaches, chosen.minutes, chosen.seed, postgres=chosen.postgres)
    sys.stdout.write(json.dumps(told) + "\n")
    sys.exit(
        1 if told["errors"] or told["missing"] or told["twice"] or (told["p95_s"] > P95_S and not chosen.patient) else 0
    )


if __name__ == "__main__":
    main()
