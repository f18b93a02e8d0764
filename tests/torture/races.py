"""Two phones send one ball at the same moment, each to a server of its own on one database: one row, or a conflict that keeps both.

    python tests/torture/races.py [--races 500] [--seed 1] [--on sqlite|postgresql] [--plant twice]

Every second race sends other content under the same key. A planted fault shows that the rig would catch one.
"""

import argparse
import json
import random
import sys
import tempfile
import threading
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[2] / "src")]

from sqlalchemy import text  # noqa: E402
from tests.academy_support import Program, server  # noqa: E402
from tests.postgres_support import Server  # noqa: E402

from threequarter.store.store import Store  # noqa: E402


def races(count: int, seed: int, on: str, plant: str = "") -> dict[str, Any]:
    """Runs the rig; returns what was counted. Raises AssertionError with it where a ball is there twice, missing or overwritten."""
    rng = random.Random(seed)
    database = Server(durable=True) if on == "postgresql" else None
    try:
        if database:
            database.start()
        url = database.url() if database else None
        with tempfile.TemporaryDirectory(prefix="threequarter-races-") as folder:
            places = [Path(folder, name) if url else Path(folder, "data") for name in ("one", "two")]
            with server(places[0], url) as one, server(places[1], url) as two:
                session = one.begin_bucket()
                told = [_race(one, two, session, n, rng) for n in range(count)]
            return _judge(places[0], url, told, plant) | {"on": on, "seed": seed}
    finally:
        if database:
            database.remove()


def _race(one: Program, two: Program, session: int, number: int, rng: random.Random) -> dict[str, Any]:
    """One race: what each phone sent, and what it was told."""
    carries = [40, 40 if number % 2 == 0 else 41]
    barrier, states = threading.Barrier(2), ["", ""]

    def send(which: int) -> None:
        ball = {"key": f"race-{number:06d}", "club": "54", "swing": "waist", "carry": carries[which], "unit": "yd"}
        barrier.wait()
        found = (one, two)[which].post(f"/api/sessions/{session}/balls", {"balls": [ball]})
        states[which] = found["outcomes"][0]["state"]

    order = rng.sample([0, 1], 2)
    phones = [threading.Thread(target=send, args=(which,)) for which in order]
    for phone in phones:
        phone.start()
    for phone in phones:
        phone.join()
    return {"key": f"race-{number:06d}", "carries": carries, "states": states}


def _judge(place: Path, url: str | None, told: list[dict[str, Any]], plant: str) -> dict[str, Any]:
    with Store(place, url) as store, store.reading() as session:
        rows = session.execute(text("SELECT client_key, body FROM ball WHERE client_key IS NOT NULL")).all()
        aside = [row[0] for row in session.execute(text("SELECT text FROM rejected_row"))]
    if plant == "twice":
        rows = [*rows, rows[0]]
    kept = {key: round(json.loads(body)["distance_m"] / 0.9144) for key, body in rows}
    beside = sorted(round(json.loads(body)["distance_m"] / 0.9144) for body in aside)
    same = [race for race in told if race["carries"][0] == race["carries"][1]]
    other = [race for race in told if race["carries"][0] != race["carries"][1]]
    wrong = [race for race in same if sorted(race["states"]) != ["known", "saved"] or kept.get(race["key"]) != 40]
    for race in other:
        winner = race["states"].index("saved") if "saved" in race["states"] else -1
        if sorted(race["states"]) != ["conflict", "saved"] or kept.get(race["key"]) != race["carries"][winner]:
            wrong.append(race)
    losers = sorted(race["carries"][race["states"].index("conflict")] for race in other if "conflict" in race["states"])
    found = {
        "races": len(told),
        "rows": len(rows),
        "twice": len(rows) - len(kept),
        "missing": len(told) - len(kept),
        "wrong": len(wrong),
        "conflicts": len(other),
        "kept_beside": len(beside),
    }
    if found["twice"] or found["missing"] or wrong or beside != losers:
        raise AssertionError({**found, "first": wrong[:3]})
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--races", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--on", choices=["sqlite", "postgresql", "both"], default="both")
    parser.add_argument("--plant", choices=["", "twice"], default="")
    chosen = parser.parse_args()
    for on in ("sqlite", "postgresql") if chosen.on == "both" else (chosen.on,):
        sys.stdout.write(json.dumps(races(chosen.races, chosen.seed, on, chosen.plant)) + "\n")


if __name__ == "__main__":
    main()
