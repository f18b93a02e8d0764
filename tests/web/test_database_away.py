"""The database goes away under a running app: every road answers 503 with Retry-After, and works again once it is
back."""

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.postgres_support import NOT_HERE, Server, binaries

from threequarter.web.app import make_app

pytestmark = [
    pytest.mark.skipif(binaries() is None, reason=NOT_HERE),
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]
HOST = "127.0.0.1:8754"


@pytest.fixture(autouse=True)
def let_go(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """Connections that died with the server, which the logged errors hold, are let go here and not in another test."""
    yield
    caplog.get_records("call").clear()
    gc.collect()


def test_while_the_database_is_away_every_road_says_when_to_try_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    server = Server()
    server.start()
    try:
        monkeypatch.setenv("THREEQUARTER_DATABASE_URL", server.url())
        app = make_app(tmp_path, frozenset({HOST}), work=False)
        with TestClient(app, base_url=f"http://{HOST}", raise_server_exceptions=False) as client:
            ball = {"key": "key-00000001", "club": "54", "swing": "waist", "carry": 41, "unit": "yd"}
            session = str(client.post("/bucket", data={"player": "Wren Sedge"}).url).rsplit("/", 1)[1]
            server.stop()
            roads = [
                client.get("/"),
                client.get(f"/bucket/{session}"),
                client.get(f"/api/sessions/{session}/live"),
                client.post(f"/api/sessions/{session}/balls", json={"balls": [ball]}),
                client.post("/bucket", data={"player": "Ivo Quill"}),
                client.post("/clips/begin", data={"name": "a.mp4", "size": "10", "agree": "yes"}),
                client.put("/clips/1/bytes?at=0", content=b"x"),
            ]
            assert [answer.status_code for answer in roads] == [503] * len(roads)
            assert all(answer.headers["retry-after"] == "2" for answer in roads)
            assert all("content-security-policy" in answer.headers for answer in roads)
            assert client.get("/health").status_code == 200
            server.start()
            assert (
                client.post(f"/api/sessions/{session}/balls", json={"balls": [ball]}).json()["outcomes"][0]["state"]
                == "saved"
            )
    finally:
        server.remove()
