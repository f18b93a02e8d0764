"""Balls over real sockets: one batch ten times, in parallel, cut half-way; the row count never changes."""

import http.client
import json
import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import func, select

from browser_support import Server
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.database.schema import BallRow
from threequarter.store.store import Store

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")
BALLS = 60


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    with Store.open(tmp_path) as store:
        PhoneBalls(store).begin("Wren Sedge")
    with Server(tmp_path) as made:
        yield made


def _batch() -> bytes:
    balls = [
        {"key": f"key-{n:08d}", "club": "54", "swing": "waist", "carry": 30 + n / 10, "unit": "yd"}
        for n in range(BALLS)
    ]
    return json.dumps({"balls": balls, "phone": "a"}).encode()


def _whole(server: Server, body: bytes) -> set[str]:
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=300)
    connection.request("POST", "/api/sessions/1/balls", body, {"content-type": "application/json"})
    outcomes = json.loads(connection.getresponse().read())["outcomes"]
    connection.close()
    return {one["state"] for one in outcomes}


def _cut(server: Server, body: bytes, share: float) -> None:
    """Sends a part of the body and hangs up."""
    head = f"POST /api/sessions/1/balls HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    with socket.create_connection(("127.0.0.1", server.port), timeout=300) as line:
        line.sendall(head.encode() + body[: int(share * len(body))])


def _rows(server: Server) -> int:
    with Store.open(server.data) as store, store.reading() as session:
        return int(session.scalar(select(func.count(BallRow.id))) or 0)


def test_a_batch_cut_half_way_leaves_nothing_and_ten_at_once_leave_one(server: Server) -> None:
    body = _batch()
    for share in (0.1, 0.5, 0.99):
        _cut(server, body, share)
    assert _rows(server) == 0
    states: list[set[str]] = []
    work = [threading.Thread(target=lambda: states.append(_whole(server, body))) for _ in range(10)]
    work += [threading.Thread(target=_cut, args=(server, body, n / 10)) for n in range(10)]
    for thread in work:
        thread.start()
    for thread in work:
        thread.join()
    assert len(states) == 10
    assert sorted(map(sorted, states)) == [["known"]] * 9 + [["saved"]]
    assert _rows(server) == BALLS
    for _ in range(10):
        assert _whole(server, body) == {"known"}
    assert _rows(server) == BALLS
