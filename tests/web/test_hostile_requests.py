"""Requests that lie or go too far: bodies shorter and longer than told, too large, wrong files, ranges, NUL. The server
lives on."""

import contextlib
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
import requests

from browser_support import Server

pytestmark = pytest.mark.slow
MB = 2**20


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    with Server(tmp_path_factory.mktemp("hostile")) as made:
        requests.post(f"{made.address}/demo", timeout=300).raise_for_status()
        yield made


def raw(server: Server, head: str, body: bytes, *, close: bool = True) -> bytes:
    """What is answered to a request written by hand; nothing where the server only hangs up."""
    with socket.create_connection(("127.0.0.1", server.port), timeout=300) as line:
        answer = b""
        with contextlib.suppress(ConnectionResetError, BrokenPipeError):  # a server may hang up on what it refuses
            line.sendall(head.replace("HOST", f"127.0.0.1:{server.port}").replace("\n", "\r\n").encode() + body)
            if close:
                line.shutdown(socket.SHUT_WR)
            while piece := line.recv(65536):
                answer += piece
        return answer


def alive(server: Server) -> bool:
    return requests.get(f"{server.address}/health", timeout=300).status_code == 200


FORM = "POST {path} HTTP/1.1\nHost: HOST\nContent-Type: application/x-www-form-urlencoded\nContent-Length: {length}\nConnection: close\n\n"


@pytest.mark.parametrize("path", ["/type", "/look", "/api/players", "/keep/" + "0" * 32])
@pytest.mark.parametrize(
    ("length", "body"),
    [
        ("500", b"text=54"),
        ("4", b"text=54 waist 50&unit=yd"),
        ("-1", b"x"),
        ("1e3", b"x"),
        ("99999999999999999999", b"x"),
    ],
)
def test_a_body_that_is_not_as_long_as_told_breaks_nothing(server: Server, path: str, length: str, body: bytes) -> None:
    answer = raw(server, FORM.format(path=path, length=length), body)
    assert b" 500 " not in answer.split(b"\r\n", 1)[0]
    assert b"Traceback" not in answer
    assert alive(server)


def test_fifty_megabytes_are_refused_with_words(server: Server) -> None:
    big = b"Club,Swing,Carry (yd)\n" + b"54,waist,50\n" * (50 * MB // 12)
    try:
        answer = requests.post(f"{server.address}/look", files={"file": ("big.csv", big)}, timeout=300)
    except requests.ConnectionError:
        pass  # the server may hang up on what it refuses while it is still being sent
    else:
        assert answer.status_code == 413
        assert "more than 30 MB" in answer.text
    head = (
        f"POST /look HTTP/1.1\nHost: HOST\nContent-Type: text/plain\nContent-Length: {50 * MB}\nConnection: close\n\n"
    )
    assert b" 200 " not in raw(server, head, b"x" * (31 * MB), close=False).split(b"\r\n", 1)[0]
    assert alive(server)


@pytest.mark.parametrize(
    "asked",
    [
        "bytes=0-1",
        "bytes=5-",
        "bytes=-5",
        "bytes=9-2",
        "bytes=" + ",".join("0-" for _ in range(5000)),
        "bytes=a-b",
        "lines=1-2",
        "bytes=0-99999999999999999999",
        "bytes=",
        "\x00",
    ],
)
@pytest.mark.parametrize(
    "path", ["/sessions/1/balls.csv", "/static/app.css", "/everything/balls.xlsx", "/sessions/1/card.pdf"]
)
def test_any_range_is_answered(server: Server, path: str, asked: str) -> None:
    answer = raw(server, f"GET {path} HTTP/1.1\nHost: HOST\nRange: {asked}\nConnection: close\n\n", b"", close=False)
    assert answer.split(b" ", 2)[1] in (b"200", b"206", b"400", b"416", b"431")


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("a.csv", b"\x89PNG\r\n\x1a\n" + bytes(2000)),
        ("a.xlsx", b"%PDF-1.7 nothing"),
        ("a.pdf", b"%PDF-1.7"),
        ("a.csv", b"MZ" + bytes(500)),
        ("a.zip", b"PK\x03\x04" + bytes(50)),
        ("a.parquet", b"PAR1" + bytes(90)),
        ("../../etc/passwd", b"x"),
        ("a\x00.csv", b"x"),
        ("x" * 5000 + ".csv", b"x"),
        ("CON", b"x"),
        ("<img onerror=x>.csv", b"x"),
        ("=1+1.csv", b"Club,Swing,Carry (yd)\n54,wa\0ist,50\n"),
    ],
)
def test_a_wrong_file_is_told_and_no_name_leaves_its_place(server: Server, name: str, content: bytes) -> None:
    answer = requests.post(f"{server.address}/look", files={"file": (name, content)}, timeout=300)
    assert answer.status_code < 500
    assert "<img onerror" not in answer.text
    outside = [path for path in Path(server.data).parent.iterdir() if path.name == "passwd"]
    assert outside == []


@pytest.mark.parametrize(
    "text", ["a\x00b", "\x00", "\ufffe", "\u202egnp.exe", "x" * 100_000, "'; DROP TABLE ball; --", "{{7*7}}", "${7*7}"]
)
def test_odd_texts_are_kept_or_refused_in_every_form(server: Server, text: str) -> None:
    for path, field in (
        ("/sessions/1/player", "name"),
        ("/players/Robin Sedge/notes", "text"),
        ("/players/Robin Sedge/plan", "clubs"),
        ("/bucket", "player"),
        ("/api-tokens", "name"),
        ("/type", "text"),
    ):
        answer = requests.post(f"{server.address}{path}", data={field: text}, timeout=300)
        assert answer.status_code < 500, path
    answer = requests.post(f"{server.address}/api/players", json={"name": text}, timeout=300)
    assert answer.status_code < 500
    sent = {"balls": [{"key": "odd-ball-1", "club": text, "swing": text, "carry": 50, "unit": "yd"}]}
    assert requests.post(f"{server.address}/api/sessions/1/balls", json=sent, timeout=300).status_code < 500
    assert requests.get(f"{server.address}/everything/balls.csv", timeout=300).status_code == 200
    assert requests.get(f"{server.address}/players", params={"q": text[:2000]}, timeout=300).status_code < 500
