"""What one of each costs: bytes kept, processor time and database work; and what an academy of academies would need.

Processor time is that of the processes concerned, so other work on the machine hardly changes it. The yearly figures multiply
unit costs with the assumptions printed beside them. Run: python benchmarks/unit_costs.py [--no-clip]
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))
from pages import fill
from sqlalchemy import text
from starlette.testclient import TestClient
from tests.postgres_support import Server, binaries

from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.store import Store
from threequarter.web.app import make_app

CLIPS = Path(__file__).parents[1] / "tests" / "data" / "swings"
PLAYERS, SESSIONS_A_YEAR, BALLS, COACHES, CLIPS_A_YEAR = 10_000, 26, 60, 1_000, 100_000
CLIP_S, CLIP_MB, KEPT_MONTHS = 20.0, 40.0, 12
PAGES_A_SESSION, BUSY_SHARE, BUSY_HOURS = 40, 0.25, 6.0
"""A quarter of a week's sessions fall into six hours of its weekend."""


def seconds(act: Callable[[], Any], times: int, *, children: bool = False) -> float:
    """Processor seconds of one act of this process (and its children), over several."""
    before = _spent(children)
    for _ in range(times):
        act()
    return (_spent(children) - before) / times


def _spent(children: bool) -> float:
    own = sum(resource.getrusage(resource.RUSAGE_SELF)[:2])
    return own + (sum(resource.getrusage(resource.RUSAGE_CHILDREN)[:2]) if children else 0.0)


def typed(store: Store) -> tuple[float, float, int]:
    """Processor seconds and wall seconds of keeping one typed ball sent alone, and how many were sent."""
    bucket, count = PhoneBalls(store), 60
    session = bucket.begin("Wren Sedge")
    sent = iter(range(10**6))

    def one() -> None:
        bucket.take(
            session,
            [
                {
                    "key": f"cost-{os.getpid()}-{next(sent):06d}",
                    "club": "54",
                    "swing": "waist",
                    "carry": 40,
                    "unit": "yd",
                }
            ],
        )

    begun = time.perf_counter()
    cost = seconds(one, count)
    return cost, (time.perf_counter() - begun) / count, count


def bytes_a_ball(url: str | None, folder: Path, players: int = 200) -> float:
    """Bytes in the database for one ball, everything around it included."""
    with Store.open(folder, url) as store:
        fill(store, players)
        if url:
            with store.reading() as session:
                size = session.scalar(
                    text(
                        "SELECT sum(pg_total_relation_size(oid)) FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace"
                    )
                )
        else:
            store.compact()
            size = sum(path.stat().st_size for path in folder.glob("threequarter.db*"))
    return float(size or 0) / (players * 4 * 50)


def pages(folder: Path) -> dict[str, float]:
    """Processor seconds of the pages that matter, on a session of fifty balls."""
    app = make_app(folder, frozenset({"127.0.0.1:1"}))
    with TestClient(app, base_url="http://127.0.0.1:1") as client:
        found = {}
        for name, path, times in (
            ("chart page", "/sessions/400", 10),
            ("live answer", "/api/sessions/400/live", 20),
            ("card", "/sessions/400/card.pdf", 5),
        ):
            client.get(path)
            found[name] = seconds(lambda path=path: client.get(path), times, children=True)  # type: ignore[misc]
    return found


def clip() -> tuple[float, float]:
    """Processor seconds of analysing one second of film, and bytes a second of the rendered clip."""
    film, length = CLIPS / "o09_three_swings.mp4", 0.0
    from threequarter.swing.decode import probe

    length = probe(film).duration_s or 1.0
    cost = seconds(
        lambda: subprocess.run(
            [sys.executable, "-m", "threequarter", "swing", str(film), "--json", os.devnull],
            check=True,
            capture_output=True,
        ),
        1,
        children=True,
    )
    return cost / length, film.stat().st_size / length


def main() -> None:
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        on_file = bytes_a_ball(None, folder / "file")
        with Store.open(folder / "typed") as store:
            file_cpu, file_wall, _ = typed(store)
        page = pages(folder / "file")
        on_server = server_cpu = server_wall = float("nan")
        if binaries() is not None:
            server = Server(durable=True)
            try:
                server.start()
                on_server = bytes_a_ball(server.url(), folder / "server")
                with Store.open(folder / "typed2", server.url()) as store:
                    server_cpu, server_wall, _ = typed(store)
            finally:
                server.remove()
        a_second, rendered = (float("nan"),) * 2 if "--no-clip" in sys.argv else clip()
    print(
        f"a ball kept: {on_file:.0f} bytes in a file, {on_server:.0f} on PostgreSQL (fifty a session, what is around them included)"
    )
    print(
        f"a ball sent alone: {1000 * file_cpu:.1f} ms of processor, {1000 * file_wall:.1f} ms on the clock in a file; {1000 * server_cpu:.1f} and {1000 * server_wall:.1f} ms on PostgreSQL"
    )
    for name, cost in page.items():
        print(f"{name}: {1000 * cost:.0f} ms of processor")
    print(f"a second of film: {a_second:.1f} s of processor to analyse ({rendered / 1e6:.2f} MB as rendered here)")
    _year(on_server, server_cpu, server_wall, page, a_second)


def _year(on_server: float, ball_cpu: float, ball_wall: float, page: dict[str, float], a_second: float) -> None:
    balls = PLAYERS * SESSIONS_A_YEAR * BALLS
    sessions = PLAYERS * SESSIONS_A_YEAR
    busy = sessions / 52 * BUSY_SHARE / BUSY_HOURS / 3600  # sessions begun a second in the busy hours
    film_cpu = CLIPS_A_YEAR * CLIP_S * a_second
    page_cpu = sessions * (
        PAGES_A_SESSION * page["chart page"] + BALLS * (ball_cpu + page["live answer"]) + page["card"]
    )
    print(
        f"a year of {PLAYERS} players, {COACHES} coaches, {SESSIONS_A_YEAR} sessions of {BALLS} balls each, {CLIPS_A_YEAR} clips of {CLIP_S:.0f} s and {CLIP_MB:.0f} MB:"
    )
    print(
        f"  database {balls * on_server / 1e9:.1f} GB more; clips {CLIPS_A_YEAR * CLIP_MB * KEPT_MONTHS / 12 / 1e6:.1f} TB where kept {KEPT_MONTHS} months"
    )
    print(
        f"  analysing clips {film_cpu / 3600:.0f} processor hours, {film_cpu / (365 * 86400):.2f} processors if spread evenly"
    )
    print(
        f"  pages and balls {page_cpu / 3600:.0f} processor hours; in the busy hours {busy * page_cpu / sessions:.1f} processors"
    )
    print(
        f"  balls in the busy hours {busy * BALLS:.1f} a second; one database takes {1 / ball_wall:.0f} acts a second here, one at a time"
    )


if __name__ == "__main__":
    main()
