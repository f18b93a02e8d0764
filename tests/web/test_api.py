"""The interface for scripts: typed, with tokens, described, and its examples in the docs run as they stand."""

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from browser_support import Server
from threequarter.intake.own_format.columns import COLUMNS
from threequarter.language import say
from threequarter.store.accounts.tokens import Tokens
from threequarter.store.store import Store
from threequarter.web.app import make_app

HOST = "127.0.0.1:8754"
DOC = (Path(__file__).parents[2] / "docs" / "ways-out.md").read_text(encoding="utf-8")
TABLE = b"Club,Swing,Carry (yd)\n54,waist,50\n54,waist,51\n54,waist,none\n"


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    app = make_app(tmp_path, frozenset({HOST}))
    with TestClient(app, base_url=f"http://{HOST}", raise_server_exceptions=False) as made:
        yield made


def from_elsewhere(client: TestClient) -> TestClient:
    """The same server, asked from another machine."""
    return TestClient(
        client.app, base_url=f"http://{HOST}", client=("192.168.1.77", 5000), raise_server_exceptions=False
    )


def test_a_session_is_begun_filled_charted_and_changed(client: TestClient) -> None:
    assert client.post("/api/players", json={"name": " Wren  Sedge "}).json() == {"name": "Wren Sedge"}
    begun = client.post("/api/sessions", json={"player": "wren sedge", "unit": "yd"})
    assert begun.status_code == 201
    where = f"/api/sessions/{begun.json()['session_id']}"
    sent = [{"key": f"ball-{i:04d}", "club": "54", "swing": "waist", "carry": 40 + i, "unit": "yd"} for i in range(6)]
    assert {one["state"] for one in client.post(f"{where}/balls", json={"balls": sent}).json()["outcomes"]} == {"saved"}
    balls = client.get(f"{where}/balls").json()
    assert [round(ball["carry_m"] / 0.9144) for ball in balls] == [40, 41, 42, 43, 44, 45]
    aside = client.post(f"{where}/balls/{balls[0]['ball_id']}/aside", json={"why": "a child spoke"}).json()
    assert (aside["use"], aside["left_out_why"]) == (False, "a child spoke")
    chart = client.get(f"{where}/chart").json()
    (cell,) = chart["cells"]
    assert cell["balls"] == 5
    assert cell["stock90_low_m"] < cell["stock_carry_m"] < cell["stock90_high_m"]
    page = client.get(f"/sessions/{begun.json()['session_id']}/chart.json", params={"unit": "m"}).json()
    assert page["cells"][0]["stock_carry"] == pytest.approx(cell["stock_carry_m"], abs=0.01)
    assert client.post(f"{where}/balls/{balls[0]['ball_id']}/back").json()["use"] is True
    assert client.get(f"{where}/next").json()["suggestions"]
    assert client.get(f"{where}/card.pdf").content.startswith(b"%PDF")
    assert client.get("/api/sessions", params={"player": "Wren Sedge"}).json()[0]["balls"] == 6
    assert client.get("/api/players", params={"q": "wren"}).json()[0]["sessions"] == 1


def test_files_go_in_and_out_and_a_whole_import_is_taken_back(client: TestClient) -> None:
    files = [("file", ("a.csv", TABLE)), ("file", ("b.csv", TABLE.replace(b"50", b"60")))]
    seen = client.post("/api/import", params={"look": True}, files=files).json()
    assert (seen["added"], seen["batch"]) == (4, None)
    assert client.get("/api/sessions").json() == []
    done = client.post("/api/import", params={"player": "Wren Sedge"}, files=files).json()
    assert (done["added"], len(done["sessions"])) == (4, 2)
    for form in ("csv", "json", "xlsx", "parquet"):
        out = client.get("/api/export", params={"form": form}).content
        again = client.post("/api/import", files={"file": (f"all.{form}", out)}).json()
        assert (again["added"], again["changed"], again["batch"]) == (0, 0, None)
    assert client.post(f"/api/imports/{done['batch']}/undo").json() == {"imports": 2}
    assert client.get("/api/sessions").json() == []
    asks = client.post("/api/import", files={"file": ("c.csv", TABLE.replace(b" (yd)", b""))})
    assert asks.status_code == 400
    assert "yards, metres or feet" in asks.json()["detail"]
    answered = client.post("/api/import", params={"unit": "m"}, files={"file": ("c.csv", TABLE.replace(b" (yd)", b""))})
    assert answered.json()["added"] == 2


@pytest.mark.parametrize(
    ("way", "path", "body", "status"),
    [
        ("GET", "/api/sessions/99", None, 404),
        ("GET", "/api/sessions/x", None, 422),
        ("GET", "/api/nothing", None, 404),
        ("POST", "/api/players", {"name": ""}, 422),
        ("POST", "/api/players", {"nose": 1}, 422),
        ("DELETE", "/api/players", None, 405),
        ("GET", "/api/export?form=exe", None, 422),
        ("POST", "/api/imports/x/undo", {}, 400),
    ],
)
def test_what_goes_wrong_is_told_as_a_problem(client: TestClient, way: str, path: str, body: Any, status: int) -> None:
    answer = client.request(way, path, json=body)
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    told = answer.json()
    assert told["status"] == status
    assert told["detail"]
    assert told["title"]


def test_a_token_lets_a_script_in_from_elsewhere_with_its_rights_and_no_further(
    client: TestClient, tmp_path: Path
) -> None:
    outside = from_elsewhere(client)
    assert outside.get("/api/players").status_code == 403
    tokens = {}
    for rights in ("read", "write"):
        page = client.post("/api-tokens", data={"name": f"nightly {rights}", "rights": rights}).text
        found = re.search(r'class="secret">(tq_[\w-]+)<', page)
        assert found
        tokens[rights] = {"authorization": f"Bearer {found[1]}"}
        assert found[1] not in client.get("/api").text
        assert found[1].encode() not in b"".join(p.read_bytes() for p in tmp_path.glob("threequarter.sqlite*"))
    assert outside.get("/api/players", headers=tokens["read"]).status_code == 200
    assert outside.post("/api/players", json={"name": "Ada"}, headers=tokens["read"]).status_code == 403
    assert outside.post("/api/players", json={"name": "Ada"}, headers=tokens["write"]).status_code == 201
    for path in ("/", "/players", "/api-tokens", "/operation"):
        assert outside.get(path, headers=tokens["write"]).status_code == 403
    wrong = outside.get("/api/players", headers={"authorization": "Bearer tq_wrong"})
    assert (wrong.status_code, wrong.headers["www-authenticate"]) == (401, "Bearer")
    assert client.get("/api/players", headers={"authorization": "Bearer tq_wrong"}).status_code == 401
    assert "last used" in client.get("/api").text
    number = re.findall(r"/api-tokens/(\d+)/remove", client.get("/api").text)
    for one in number:
        assert "is removed" in client.post(f"/api-tokens/{one}/remove").text
    assert outside.get("/api/players", headers=tokens["write"]).status_code == 401
    assert client.post("/api-tokens", data={"name": " "}).status_code == 400
    assert client.post("/api-tokens", data={"name": "x", "rights": "all"}).status_code == 400


def test_a_write_from_another_site_is_refused_without_a_token(client: TestClient) -> None:
    for headers in ({"origin": "http://evil.test"}, {"sec-fetch-site": "cross-site"}, {"origin": "null"}):
        assert client.post("/api/players", json={"name": "x"}, headers=headers).status_code == 403


def test_the_description_tells_every_route_with_units_and_tokens(client: TestClient) -> None:
    told = client.get("/api/openapi.json").json()
    assert told["components"]["securitySchemes"]["token"]["scheme"] == "bearer"
    for path in (
        "/api/players",
        "/api/sessions/{session_id}/balls",
        "/api/export",
        "/api/import",
        "/look",
        "/keep/{key}",
    ):
        assert path in told["paths"]
    assert "stock_carry_m" in told["components"]["schemas"]["Cell"]["properties"]
    page = client.get("/api").text
    assert all(path in page for path in told["paths"] if path.startswith("/api/"))


def test_the_docs_list_every_column_as_the_code_has_it() -> None:
    kinds = {
        "text": "text",
        "number": "number",
        "whole": "whole number",
        "yes": "0 or 1",
        "day": "day, ISO 8601",
        "time": "time, UTC, ISO 8601",
    }
    listed = re.findall(r"^\| `(\w+)` \| ([^|]+) \| (.+) \|$", DOC, re.MULTILINE)
    assert listed == [(column.name, kinds[column.kind], say(column.says)) for column in COLUMNS]


@pytest.mark.slow
def test_the_examples_in_the_docs_run_as_they_stand(tmp_path: Path) -> None:
    with Store(tmp_path / "data") as store:
        token = Tokens(store).add("docs", "write")
    (tmp_path / "balls.csv").write_bytes(TABLE)
    curl, python = re.findall(r"```(?:sh|py)\n(.*?)```", DOC, re.DOTALL)
    with Server(tmp_path / "data") as server:
        env = {**os.environ, "TOKEN": token, "SERVER": server.address}
        for line in curl.strip().splitlines():
            done = subprocess.run(
                ["sh", "-c", line.replace("curl -s", "curl -sS --fail-with-body", 1)],
                cwd=tmp_path,
                env=env,
                capture_output=True,
                text=True,
                check=False,
            )
            assert done.returncode == 0, done.stdout + done.stderr
        assert (tmp_path / "all.xlsx").read_bytes().startswith(b"PK")
        shown = subprocess.run(
            [sys.executable, "-c", python], env=env, capture_output=True, text=True, check=True
        ).stdout
    assert re.search(r"54 waist: \d+\.\d m \(\d+\.\d to \d+\.\d\)", shown)
