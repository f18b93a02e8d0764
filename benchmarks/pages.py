"""How long the server takes for its pages with 2 000 players and 400 000 balls.

Limits: 60 ms in the middle, 200 ms for the slowest of a hundred. Run: python benchmarks/pages.py [players]
"""

import datetime
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from sqlalchemy import insert
from starlette.testclient import TestClient

from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy
from threequarter.store.ball_json import to_json
from threequarter.store.schema import BallRow, ImportRow, PlayerRow, SessionRow
from threequarter.store.store import Store
from threequarter.web.app import make_app

SESSIONS, BALLS, ROUNDS = 4, 50, 40
SHOTS = [(club, swing, carry) for club, base in (("50", 50), ("54", 44), ("58", 38)) for swing, carry in (("waist", base * 0.9), ("chest", base * 1.2), ("full", base * 1.8))]  # fmt: skip


def fill(store: Store, players: int) -> None:
    """An invented academy: every player with four sessions of fifty balls."""
    rng = np.random.default_rng(5)
    now = datetime.datetime(2026, 6, 1)
    with store.writing() as session:
        session.execute(insert(PlayerRow), [{"id": i, "name": f"Player {i}", "name_key": f"player {i}", "made_at": now} for i in range(1, players + 1)])  # fmt: skip
        total = players * SESSIONS
        ids = range(1, total + 1)
        session.execute(insert(SessionRow), [
            {"id": i, "player_id": 1 + (i - 1) // SESSIONS, "title": f"bucket {i}.csv", "unit": "yd", "ground": "normal", "made_at": now + datetime.timedelta(minutes=i)}
            for i in ids
        ])  # fmt: skip
        session.execute(insert(ImportRow), [
            {"id": i, "session_id": i, "family": i, "name": f"bucket {i}.csv", "sha256": str(i), "head": None, "content": b"", "options": "{}", "plan": "[]", "layout": "{}", "made_at": now, "undone_at": None}
            for i in ids
        ])  # fmt: skip
        bodies = [to_json(_ball(n % BALLS, rng)) for n in range(40 * BALLS)]
        for first in range(1, total + 1, 1000):
            session.execute(insert(BallRow), [
                {"import_id": i, "client_key": None, "slot": str(n), "place": f"[null,null,{n}]", "rank": float(n), "body": bodies[(i % 40) * BALLS + n]}
                for i in range(first, min(first + 1000, total + 1)) for n in range(BALLS)
            ])  # fmt: skip


def _ball(n: int, rng: np.random.Generator) -> Ball:
    club, swing, carry = SHOTS[n % len(SHOTS)]
    hit = float(carry * (1 + 0.04 * rng.standard_normal()))
    return Ball(number=n + 1, club=club, swing=swing, distance_m=hit, measured_by=MeasuredBy.DEVICE, measured_as=MeasuredAs.CARRY,
                offline_m=None, strike=None, rounding_m=None)  # fmt: skip


def main() -> None:
    players = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    with tempfile.TemporaryDirectory() as folder:
        with Store.open(Path(folder)) as store:
            fill(store, players)
        app = make_app(Path(folder), frozenset({"127.0.0.1:1"}))
        with TestClient(app, base_url="http://127.0.0.1:1") as client:
            middle = players * SESSIONS // 2
            print(
                f"{players} players, {players * SESSIONS * BALLS} balls; limits 60 ms (median), 200 ms (slowest of {ROUNDS})"
            )
            for path in ("/", "/players", "/players?q=Player 77", "/players/Player 77", f"/sessions/{middle}", f"/bucket/{middle}", f"/api/sessions/{middle}/live",
                         f"/sessions/{middle}/shot?to=57", f"/sessions/{middle}/report", f"/sessions/{middle}/balls.json", "/plan", "/clinic"):  # fmt: skip
                took = []
                for _ in range(ROUNDS):
                    start = time.perf_counter()
                    answer = client.get(path)
                    took.append(1000 * (time.perf_counter() - start))
                    assert answer.status_code == 200, (path, answer.text[:300])
                print(f"{path:34} median {np.median(took):7.1f} ms ({np.median(took) / 60:5.2f} of its limit)   slowest {max(took):7.1f} ms   {len(answer.content) / 1024:6.0f} KB")  # fmt: skip


if __name__ == "__main__":
    main()
