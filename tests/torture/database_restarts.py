"""PostgreSQL stopped at once and started again every 5 to 40 s, with two servers, two workers, phones that type, clips that come
and large tables that are taken in as work of the queue.

    python tests/torture/database_restarts.py [--seconds 300] [--seed 1] [--phones 4] [--plant lost|twice]

Must hold: no acknowledged ball is missing or there twice; each clip and each table ends once (triggers in the database count), and
each table's balls are there once; the servers
answer nothing but success and 503 with Retry-After; each is back within 10 s of the database. A planted fault (--plant) must be caught.
"""

import argparse
import http.client
import json
import random
import sys
import tempfile
import threading
import time
import urllib.error
import urllib.request
from collections import Counter
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[2] / "src")]

from tests.academy_support import SWINGS, Program, server, wait_until, worker  # noqa: E402
from tests.postgres_support import Server  # noqa: E402

BACK_S = 10.0
BAD_FILM_BYTES = 60_000
UPLOAD_EVERY_S = 10.0
CLIP_S = 60.0
"""Within which a worker ends a clip on a loaded machine."""
COUNT_ENDS = """
CREATE TABLE ended (clip_id integer, state text);
CREATE FUNCTION count_end() RETURNS trigger AS $$ BEGIN INSERT INTO ended VALUES (NEW.id, NEW.state); RETURN NEW; END $$ LANGUAGE plpgsql;
CREATE TRIGGER ends AFTER UPDATE ON clip FOR EACH ROW
  WHEN (NEW.state IN ('done', 'failed') AND NEW.state IS DISTINCT FROM OLD.state) EXECUTE FUNCTION count_end();
CREATE TABLE ended_work (task_id integer, state text);
CREATE FUNCTION count_work() RETURNS trigger AS $$ BEGIN INSERT INTO ended_work VALUES (NEW.id, NEW.state); RETURN NEW; END $$ LANGUAGE plpgsql;
CREATE TRIGGER ends AFTER UPDATE ON task FOR EACH ROW
  WHEN (NEW.state IN ('done', 'failed') AND NEW.state IS DISTINCT FROM OLD.state) EXECUTE FUNCTION count_work()
"""
BALLS_OF = """
SELECT player.name, count(*) FROM ball JOIN import ON import.id = ball.import_id JOIN session ON session.id = import.session_id
JOIN player ON player.id = session.player_id WHERE ball.client_key IS NULL GROUP BY player.name
"""
TABLE_ROWS = 9_000
TABLE_EVERY_S = 20.0


class Phone(threading.Thread):
    """Types and sends, each ball until it was answered, doubled now and then; `answers` counts what it was told."""

    def __init__(self, servers: list[Program], session: int, which: int, stop: threading.Event) -> None:
        super().__init__(daemon=True)
        self.servers, self.session, self.which, self.stop = servers, session, which, stop
        self.rng = random.Random(which)
        self.acknowledged: dict[str, int] = {}
        self.answers: Counter[str] = Counter()
        self.slowest_s = 0.0

    def run(self) -> None:
        number = 0
        while not self.stop.is_set():
            number += 1
            key, carry = f"phone{self.which:03d}-{number:08d}", 30 + number % 40
            ball = {"key": key, "club": "54", "swing": "waist", "carry": carry, "unit": "yd"}
            while not self._send([ball] * self.rng.choice([1, 1, 2])):
                time.sleep(0.2)
            self.acknowledged[key] = carry
            time.sleep(self.rng.uniform(0.0, 0.1))

    def _send(self, balls: list[dict[str, Any]]) -> bool:
        begun = time.monotonic()
        try:
            told = self.rng.choice(self.servers).post(f"/api/sessions/{self.session}/balls", {"balls": balls})
            self.answers["200"] += 1
            self.slowest_s = max(self.slowest_s, time.monotonic() - begun)
            return all(outcome["state"] in ("saved", "known") for outcome in told["outcomes"])
        except urllib.error.HTTPError as error:
            self.answers[
                str(error.code) if error.headers.get("retry-after") else f"{error.code} without Retry-After"
            ] += 1
        except (OSError, http.client.HTTPException) as error:
            self.answers[type(error).__name__] += 1
        return False


def restarts(seconds: float, seed: int, phones: int = 4, films: int = 3, plant: str = "") -> dict[str, Any]:
    """Runs the rig; returns what was counted. Raises AssertionError with it where a promise broke."""
    rng, database = random.Random(seed), Server(durable=True)
    with tempfile.TemporaryDirectory(prefix="threequarter-restarts-") as folder:
        programs: list[Program] = []
        try:
            database.start()
            url = database.url()
            clips = Path(folder, "clips")
            servers = [server(Path(folder, name), url, clips=clips) for name in ("one", "two")]
            workers = [worker(Path(folder, name), url, clips=clips) for name in ("three", "four")]
            programs = [*servers, *workers]
            for program in programs:
                program.env["THREEQUARTER_BACKUPS"] = "off"  # one would refuse the tables of the rig
                program.begin()
            for program in programs:
                program.ready()
            database.execute(COUNT_ENDS, url.rsplit("/", 1)[1])
            return _day(database, url, servers, workers, Path(folder), rng, seconds, phones, films, plant) | {
                "seed": seed
            }
        finally:
            for program in programs:
                program.kill()
            database.remove()


def _day(
    database: Server,
    url: str,
    servers: list[Program],
    workers: list[Program],
    folder: Path,
    rng: random.Random,
    seconds: float,
    phones: int,
    films: int,
    plant: str,
) -> dict[str, Any]:
    session, stop = servers[0].begin_bucket(), threading.Event()
    typing = [Phone(servers, session, which, stop) for which in range(phones)]
    sent: list[int] = []
    uploading = threading.Thread(target=_upload, args=(servers, session, folder, films, stop, sent), daemon=True)
    tables: list[int] = []
    asking = threading.Thread(target=take_in, args=(servers, stop, tables), daemon=True)
    for thread in (*typing, uploading, asking):
        thread.start()
    back, count, until = 0.0, 0, time.monotonic() + seconds
    while time.monotonic() < until:
        time.sleep(min(rng.uniform(5, 40), max(0.0, until - time.monotonic() - 1)))
        database.stop()
        time.sleep(rng.uniform(0, 2))
        database.start()
        count += 1
        back = max(back, *(wait_until(lambda one=one: _ready(one), 60, "a server is back") for one in servers))
    stop.set()
    for thread in (*typing, uploading, asking):
        thread.join(120)
        assert not thread.is_alive(), "a phone is still waiting for its answer"
    wait_until(lambda: _ended(database, url) >= len(sent), 120 + CLIP_S * len(sent), "every clip ends")
    wait_until(lambda: _ended(database, url, "task") >= len(tables), 300, "every table is taken in")
    wait_until(lambda: not list(folder.rglob(".work-*")), 20, "nothing half done is left")
    alive = [program.child is not None and program.child.poll() is None for program in (*servers, *workers)]
    return _judge(database, url, typing, sent, tables, plant) | {
        "seconds": seconds,
        "restarts": count,
        "back_s": round(back, 1),
        "programs_alive": sum(alive),
    }


def _ready(one: Program) -> bool:
    try:
        return bool(one.get("/ready", timeout=5)["ready"])
    except (OSError, http.client.HTTPException):
        return False


def _upload(
    servers: list[Program], session: int, folder: Path, films: int, stop: threading.Event, sent: list[int]
) -> None:
    """Clips that no one can read, which fail at once, and a few real ones; each on either server."""
    number = 0
    while not stop.is_set():
        film = SWINGS / "o02_waist.mp4"
        if number >= films:
            film = folder / f"bad-{number}.mp4"
            film.write_bytes(random.Random(number).randbytes(BAD_FILM_BYTES))
        sent.append(servers[number % 2].upload(film, session, part=20_000))
        number += 1
        stop.wait(UPLOAD_EVERY_S)


def take_in(servers: list[Program], stop: threading.Event, taken: list[int]) -> None:
    """Large tables, each of a player of its own; what was looked at is asked for until it is acknowledged, and then never again."""
    number = 0
    while not stop.wait(TABLE_EVERY_S):
        number, one = number + 1, servers[number % 2]
        rows = "".join(f"Player {number},58,chest,{30 + n % 9}.{n % 10}\n" for n in range(TABLE_ROWS))
        looked = insist(one, "/look", {"text": f"Player,Club,Swing,Carry (yd)\n{rows}"}, stop)
        to = looked and insist(one, looked.replace("/look/", "/keep/"), {}, stop)
        if to and to.startswith("/tasks/"):
            taken.append(number)


def insist(one: Program, path: str, fields: dict[str, str], stop: threading.Event) -> str:
    """Sends a form until it is taken; the path it leads to, "" where the day is over first."""
    while not stop.is_set():
        try:
            return one.form(path, **fields).removeprefix(one.address)
        except (OSError, http.client.HTTPException):
            time.sleep(0.3)
    return ""


def _ended(database: Server, url: str, table: str = "clip") -> int:
    import psycopg

    with psycopg.connect(url.replace("+psycopg", "")) as connection:
        row = connection.execute(f"SELECT count(*) FROM {table} WHERE state IN ('done', 'failed')").fetchone()
        assert row
        return int(row[0])


def _judge(
    database: Server, url: str, typing: list[Phone], sent: list[int], tables: list[int], plant: str
) -> dict[str, Any]:
    import psycopg

    with psycopg.connect(url.replace("+psycopg", "")) as connection:
        rows = connection.execute("SELECT client_key, body FROM ball WHERE client_key IS NOT NULL").fetchall()
        ended = Counter(row[0] for row in connection.execute("SELECT clip_id FROM ended").fetchall())
        states = Counter(row[0] for row in connection.execute("SELECT state FROM clip").fetchall())
        work = Counter(tuple(row) for row in connection.execute("SELECT task_id, state FROM ended_work").fetchall())
        said = [row[0] for row in connection.execute("SELECT error FROM task WHERE state = 'failed'").fetchall()]
        balls = dict(connection.execute(BALLS_OF).fetchall())
    if plant == "lost":
        rows = rows[1:]
    elif plant == "twice":
        ended[sent[0]] += 1
    kept = {key: round(json.loads(body)["distance_m"] / 0.9144) for key, body in rows}
    acknowledged = {key: carry for phone in typing for key, carry in phone.acknowledged.items()}
    answers = sum((phone.answers for phone in typing), Counter())
    found = {
        "acknowledged": len(acknowledged),
        "missing": sum(kept.get(key) != carry for key, carry in acknowledged.items()),
        "twice": len(rows) - len(kept),
        "clips": len(sent),
        "clip_states": dict(states),
        "clips_ended_not_once": sum(ended[clip] != 1 for clip in sent),
        "answers": dict(answers),
        "tables": len(tables),
        "tables_ended": dict(Counter(state for _number, state in work)),
        "tables_that_failed_said": said,
        "tables_ended_not_once": sum(count != 1 for count in work.values())
        + len(work)
        - len({number for number, _state in work}),
        "tables_not_there_once": sum(balls.get(f"Player {number}") != TABLE_ROWS for number in tables),
        "slowest_answer_s": round(max(phone.slowest_s for phone in typing), 1),
    }
    broken = ("missing", "twice", "clips_ended_not_once", "tables_ended_not_once", "tables_not_there_once")
    if any(found[one] for one in broken) or set(answers) - {"200", "503"}:
        raise AssertionError(found)
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--phones", type=int, default=4)
    parser.add_argument("--films", type=int, default=3)
    parser.add_argument("--plant", choices=["", "lost", "twice"], default="")
    chosen = parser.parse_args()
    found = restarts(chosen.seconds, chosen.seed, chosen.phones, chosen.films, chosen.plant)
    sys.stdout.write(json.dumps(found) + "\n")
    if found["back_s"] > BACK_S or found["programs_alive"] < 4:
        raise AssertionError(found)


if __name__ == "__main__":
    main()
