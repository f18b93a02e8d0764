"""How long the server takes for its pages with 2 000 players and 400 000 balls, and the report.

Limits: 60 ms in the middle, 200 ms for the slowest of a hundred; a report 1 s. Every round asks for another session, so that no
answer is a remembered one; "again" asks for the same one twice. The load is told: on a busy machine the clock says more about the
others than about us, so the processor time of this process (server and asking browser together) stands beside it.
The charts of all days are computed beside the server, as soon as balls were kept: before the rounds here, of everybody who is asked
for and of Ten Days (ten dates of fifty balls). "sooner" asks for players whose chart is not computed yet; the page says so.
Run: python benchmarks/pages.py [players [rounds]] [--on sqlite|postgresql]
"""

import argparse
import datetime
import gc
import os
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np
from sqlalchemy import insert, select
from starlette.testclient import TestClient

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.postgres_support import Server
from tests.web_support import inner_of

from threequarter.app.warm_up import WarmUp
from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy
from threequarter.store.balls.ball_json import to_json
from threequarter.store.database.schema import BallRow, ImportRow, PlayerRow, SessionRow
from threequarter.store.store import Store
from threequarter.web.app import make_app

SESSIONS, BALLS, ROUNDS, LARGE, TEN = 4, 50, 100, 900_000, 910_000
PASSES = 5
"""Every page is asked in so many turns, so that a slow minute of the machine falls on all of them."""
FIRST = 5
BROWSER = {"accept": "text/html"}
SHOTS = [
    (club, swing, carry)
    for club, base in (("50", 50), ("54", 44), ("58", 38))
    for swing, carry in (("waist", base * 0.9), ("chest", base * 1.2), ("full", base * 1.8))
]


def fill(store: Store, players: int) -> None:
    """An invented academy: every player with four sessions of fifty balls."""
    rng = np.random.default_rng(5)
    now = datetime.datetime(2026, 6, 1)
    with store.writing() as session:
        session.execute(
            insert(PlayerRow),
            [
                {"id": i, "name": f"Player {i}", "name_key": f"player {i}", "made_at": now}
                for i in range(1, players + 1)
            ],
        )
        total = players * SESSIONS
        ids = range(1, total + 1)
        session.execute(
            insert(SessionRow),
            [
                {
                    "id": i,
                    "player_id": 1 + (i - 1) // SESSIONS,
                    "title": f"bucket {i}.csv",
                    "unit": "yd",
                    "ground": "normal",
                    "made_at": now + datetime.timedelta(minutes=i),
                }
                for i in ids
            ],
        )
        session.execute(
            insert(ImportRow),
            [
                {
                    "id": i,
                    "session_id": i,
                    "family": i,
                    "name": f"bucket {i}.csv",
                    "sha256": str(i),
                    "head": None,
                    "content": b"",
                    "options": "{}",
                    "plan": "[]",
                    "layout": "{}",
                    "made_at": now,
                    "undone_at": None,
                }
                for i in ids
            ],
        )
        bodies = [to_json(_ball(n % BALLS, rng)) for n in range(40 * BALLS)]
        for first in range(1, total + 1, 1000):
            session.execute(
                insert(BallRow),
                [
                    {
                        "import_id": i,
                        "client_key": None,
                        "slot": str(n),
                        "place": f"[null,null,{n}]",
                        "rank": float(n),
                        "body": bodies[(i % 40) * BALLS + n],
                    }
                    for i in range(first, min(first + 1000, total + 1))
                    for n in range(BALLS)
                ],
            )


def _ball(n: int, rng: np.random.Generator) -> Ball:
    club, swing, carry = SHOTS[n % len(SHOTS)]
    hit = float(carry * (1 + 0.04 * rng.standard_normal()))
    return Ball(
        number=n + 1,
        club=club,
        swing=swing,
        distance_m=hit,
        measured_by=MeasuredBy.DEVICE,
        measured_as=MeasuredAs.CARRY,
        offline_m=None,
        strike=None,
        rounding_m=None,
    )


PAGES = (
    "/",
    "/players",
    "/players?q=Player 77",
    "/players?show=due",
    "/players/Player {player}",
    "/players/Player {player} again",
    "/players/Player {player} sooner",
    "/players/Player {player}/pooled",
    "/players/Player {player}/pooled again",
    "/players/Ten Days",
    "/players/Ten Days/pooled",
    "/sessions/910005/shot?to=57",
    "/sessions/910005/round",
    "/sessions/{session}",
    "/sessions/{session}?ball={ball}",
    "/sessions/{session}/lesson",
    "/sessions/{session}/one?club=54&swing=waist",
    "/sessions/{session}/shot",
    "/sessions/{session}/shot?to=57",
    "/sessions/{session}/shot?to=57 again",
    "/sessions/{session}/day",
    "/sessions/{session}/day?temp_c=9&wind_mps=5&wind_from=left",
    "/sessions/{session}/wedges",
    "/sessions/{session}/practice",
    "/sessions/{session}/spread",
    "/sessions/{session}/round",
    "/sessions/{session}/report",
    "/bucket/{session}",
    "/api/sessions/{session}/live",
    "/sessions/{session}/balls.json",
    "/history",
    "/plan",
    "/clinic",
    "/lesson",
    f"/sessions/{LARGE}",
    f"/sessions/{LARGE}/lesson",
)


def large(store: Store) -> None:
    """One session of 600 balls."""
    rng = np.random.default_rng(6)
    balls = [_ball(n, rng) for n in range(600)]
    with store.writing() as session:
        now = datetime.datetime(2026, 6, 2)
        session.execute(
            insert(SessionRow),
            [{"id": LARGE, "player_id": 1, "title": "large", "unit": "yd", "ground": "normal", "made_at": now}],
        )
        session.execute(
            insert(ImportRow),
            [
                {
                    "id": LARGE,
                    "session_id": LARGE,
                    "family": LARGE,
                    "name": "large.csv",
                    "sha256": "large",
                    "head": None,
                    "content": b"",
                    "options": "{}",
                    "plan": "[]",
                    "layout": "{}",
                    "made_at": now,
                    "undone_at": None,
                }
            ],
        )
        session.execute(
            insert(BallRow),
            [
                {
                    "import_id": LARGE,
                    "client_key": None,
                    "slot": str(n),
                    "place": f"[null,null,{n}]",
                    "rank": float(n),
                    "body": to_json(ball),
                }
                for n, ball in enumerate(balls)
            ],
        )


def ten_days(store: Store) -> None:
    """One player with ten dates of fifty balls."""
    rng = np.random.default_rng(7)
    now = datetime.datetime(2026, 6, 2)
    with store.writing() as session:
        owner = PlayerRow(id=TEN, name="Ten Days", name_key="ten days", made_at=now)
        session.add(owner)
        session.flush()
        for n in range(1, 11):
            number, held_on = TEN + n, datetime.date(2026, 4, 1) + datetime.timedelta(days=7 * n)
            session.add(
                SessionRow(
                    id=number,
                    player_id=owner.id,
                    title=f"day {n}",
                    unit="yd",
                    ground="normal",
                    made_at=now,
                    held_on=held_on,
                    dated_by="hand",
                )
            )
            session.flush()
            session.add(
                ImportRow(
                    id=number,
                    session_id=number,
                    family=number,
                    name=f"day {n}.csv",
                    sha256=str(number),
                    content=b"",
                    options="{}",
                    plan="[]",
                    layout="{}",
                    made_at=now,
                )
            )
            session.flush()
            session.add_all(
                BallRow(
                    import_id=number, slot=str(i), place=f"[null,null,{i}]", rank=float(i), body=to_json(_ball(i, rng))
                )
                for i in range(BALLS)
            )


def ask(
    client: TestClient, path: str, rounds: int, first: int = 0, made: int = 0
) -> tuple[np.ndarray, np.ndarray, int]:
    """Milliseconds of each round by the clock and by this process's own processor time, and the size of the answer; of so many
    players the charts were `made` ahead."""
    took, own, size = [], [], 0
    again, sooner = path.endswith(" again"), path.endswith(" sooner")
    for n in range(first, first + rounds):
        player = FIRST + (0 if again else made + n if sooner else n)
        session = SESSIONS * (player - 1) + 2
        start, busy = time.perf_counter(), time.process_time()
        address = path.removesuffix(" again").removesuffix(" sooner")
        answer = client.get(
            address.format(player=player, session=session, ball=BALLS * (session - 1) + 3), headers=BROWSER
        )
        took.append(1000 * (time.perf_counter() - start))
        own.append(1000 * (time.process_time() - busy))
        assert answer.status_code == 200 or (sooner and answer.status_code == 202), (path, answer.text[:300])
        size = len(answer.content)
    return np.array(took), np.array(own), size


def made_ahead(app: Any, rounds: int) -> None:
    """Has the charts of everybody asked for computed, as they are once their balls were kept."""
    warm: WarmUp = inner_of(app).state.warm_up
    start = time.perf_counter()
    with warm.store.reading() as session:
        names = [f"Player {n}" for n in range(FIRST, FIRST + rounds)] + ["Ten Days"]
        people = session.execute(select(PlayerRow.id, PlayerRow.name).where(PlayerRow.name.in_(names))).all()
    for number, name in people:
        while not warm.compute(number, name):  # a busy machine takes longer than anybody waits
            pass
    print(f"{len(people)} charts of all days computed beside the server in {time.perf_counter() - start:.0f} s")


def report(client: TestClient, rounds: int) -> list[str]:
    """Prints each page's times; returns those over a limit."""
    over, turns_of = [], []
    for turn in range(PASSES):
        turns_of.append(
            [ask(client, path, max(1, rounds // PASSES), turn * (rounds // PASSES), rounds) for path in PAGES]
        )
    for path, turns in zip(PAGES, zip(*turns_of, strict=True), strict=True):
        took, own = (np.concatenate([turn[i] for turn in turns]) for i in (0, 1))
        size = turns[-1][2]
        middle, slow = float(np.median(took)), float(np.quantile(took, 0.99))
        over += [path] if middle > 60 or slow > 200 else []
        print(
            f"{path:54} middle {middle:6.1f} ms ({middle / 60:4.2f} of its limit)   99 % {slow:6.1f} ms ({slow / 200:4.2f})"
            f"   own time {np.median(own):6.1f}, 99 % {np.quantile(own, 0.99):6.1f} ms   {size / 1024:5.0f} KB"
        )
    return over


def measure(folder: Path, url: str | None, players: int, rounds: int) -> None:
    with Store.open(folder, url) as store:
        fill(store, players)
        large(store)
        ten_days(store)
        if store.on_postgres:
            store.compact()  # with the statistics that the planner has in daily use
    gc.collect()
    gc.freeze()  # as a server does at its start
    app = make_app(folder, frozenset({"127.0.0.1:1"}), charts_ahead=True, work=False)
    with TestClient(app, base_url="http://127.0.0.1:1", client=("127.0.0.1", 1)) as client:
        made_ahead(app, rounds)
        print(
            f"{players} players, {players * SESSIONS * BALLS} balls on {'postgresql' if url else 'sqlite'}, load {os.getloadavg()[0]:.1f} on"
            f" {os.cpu_count()} processors; limits 60 ms (middle), 200 ms (99 %)"
        )
        over = report(client, rounds)
        took, _own, _size = ask(client, "/sessions/{session}/report.pdf", 10)
        print(
            f"{'report as PDF':54} middle {np.median(took):6.1f} ms ({np.median(took) / 1000:4.2f} of its limit of 1 s)   slowest {took.max():6.1f} ms"
        )
        print("Over a limit: " + (", ".join(over) or "none"))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("players", type=int, nargs="?", default=2000)
    parser.add_argument("rounds", type=int, nargs="?", default=ROUNDS)
    parser.add_argument("--on", choices=["sqlite", "postgresql"], default="sqlite")
    chosen = parser.parse_args()
    server = Server(durable=True) if chosen.on == "postgresql" else None
    try:
        if server:
            server.start()
        with tempfile.TemporaryDirectory() as folder:
            measure(Path(folder), server.url() if server else None, chosen.players, chosen.rounds)
    finally:
        if server:
            server.remove()


if __name__ == "__main__":
    main()
