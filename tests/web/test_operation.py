"""What whoever keeps a server running sees: log lines that hold no name, figures, health, failed analyses tried
again."""

import io
import json
import logging
import re
import subprocess
import sys
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any, get_args

import pytest
from prometheus_client.parser import text_string_to_metric_families
from starlette.testclient import TestClient

from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store
from threequarter.store.tasks.tasks import Kind
from threequarter.web.app import make_app
from threequarter.web.operation.logs import JsonLines
from threequarter.web.pages.operation.routes import KINDS_SAID
from web_support import inner_of

HOST = "127.0.0.1:8754"
CANARY = "Quillonwy Marram"


@pytest.fixture
def log() -> Iterator[io.StringIO]:
    """What the product logs, at the level of each request."""
    root, said = logging.getLogger("threequarter"), io.StringIO()
    handler = logging.StreamHandler(said)
    handler.setFormatter(JsonLines())
    before = root.level
    root.addHandler(handler)
    root.setLevel(logging.INFO)
    yield said
    root.removeHandler(handler)
    root.setLevel(before)


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    app = make_app(tmp_path, frozenset({HOST}))
    with TestClient(app, base_url=f"http://{HOST}", raise_server_exceptions=False) as client:
        yield client


def lines(log: io.StringIO) -> list[dict[str, Any]]:
    return [json.loads(line) for line in log.getvalue().splitlines()]


def test_each_answer_has_an_id_that_finds_its_line(client: TestClient, log: io.StringIO) -> None:
    answer = client.get("/players")
    (line,) = [line for line in lines(log) if line["request"] == answer.headers["x-request-id"]]
    assert (line["route"], line["method"], line["status"]) == ("/players", "GET", 200)
    assert line["ms"] > 0


def test_an_id_that_a_client_sends_is_not_taken(client: TestClient, log: io.StringIO) -> None:
    answer = client.get("/players", headers={"x-request-id": "mine\r\nforged"})
    assert "mine" not in answer.headers["x-request-id"]
    assert "forged" not in log.getvalue()


def test_no_name_of_a_player_reaches_the_log(
    client: TestClient, log: io.StringIO, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.post("/bucket", data={"player": CANARY, "unit": "yd"})
    client.get(f"/players/{CANARY}")
    client.post("/type", data={"text": f"{CANARY} 54 waist fifty", "unit": "yd", "by": "device"})
    client.get(f"/{CANARY}")

    def broken(*_: Any) -> None:
        raise ValueError(f"cannot show {CANARY}")

    monkeypatch.setattr(Roster, "notes", broken)
    assert client.get(f"/players/{CANARY}/days").status_code == 500
    said = log.getvalue()
    assert len(lines(log)) >= 6
    assert "Quillonwy" not in said


def test_a_fault_of_ours_shows_the_code_that_its_log_line_bears(
    client: TestClient, log: io.StringIO, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.post("/bucket", data={"player": "Wren Sedge", "unit": "yd"})
    monkeypatch.setattr(Roster, "notes", lambda *_, **__: 1 / 0)
    answer = client.get("/players/Wren Sedge/days")
    (line,) = [line for line in lines(log) if "error" in line]
    assert answer.status_code == 500
    assert line["error"] == "ZeroDivisionError"
    assert line["request"] in answer.text
    assert any("pages/players/" in place for place in line["places"])
    assert "ZeroDivision" not in answer.text


def test_figures_count_by_pattern_never_by_path(client: TestClient) -> None:
    client.get(f"/players/{CANARY}")
    client.get("/static/app.css")
    client.get("/no/such/page")
    text = client.get("/metrics").text
    families = {family.name: family for family in text_string_to_metric_families(text)}
    answers = {
        (s.labels["route"], s.labels["status"])
        for s in families["threequarter_answers"].samples
        if s.name.endswith("_total")
    }
    assert ("/static", "200") in answers
    assert ("none", "404") in answers
    assert any(route.startswith("/players/{") for route, _ in answers)
    assert "Quillonwy" not in text
    assert families["threequarter_balls"].samples[0].value == 0


def test_ready_says_what_is_wrong(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    assert client.get("/ready").json() == {"ready": True, "wrong": []}
    monkeypatch.setattr("shutil.disk_usage", lambda _: SimpleNamespace(total=10**12, used=10**12 - 10**6, free=10**6))
    answer = client.get("/ready")
    assert answer.status_code == 503
    assert "MB are left on the disk" in answer.json()["wrong"][0]


def test_a_failed_analysis_is_shown_and_tried_again(
    client: TestClient, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store.open(tmp_path) as store:
        clips = Clips(store)
        clip = clips.begin("swing.mp4", 4)
        clips.take(clip, 0, b"none")
        clips.mark(clip, "failed", error="The file holds no picture.")
        page = client.get("/operation").text
        assert "The file holds no picture." in page
        asked = []
        monkeypatch.setattr(inner_of(client.app).state.jobs, "again", asked.append)  # type: ignore[attr-defined]
        client.post(f"/operation/clips/{clip}/again")
        assert asked == [clip]


def test_only_a_failed_analysis_is_done_again(client: TestClient, tmp_path: Path) -> None:
    with Store.open(tmp_path) as store:
        clip = Clips(store).begin("swing.mp4", 4)
        answer = client.post(f"/operation/clips/{clip}/again")
        assert answer.status_code == 400
        assert "did not fail" in answer.text


def test_a_real_server_prints_no_name_when_something_breaks(tmp_path: Path) -> None:
    code = (
        "import sys; from threequarter.store.people.roster import Roster\n"
        f"sys.argv = ['threequarter', 'serve', '--port', '0', '--no-browser', '--data', {str(tmp_path)!r}]\n"
        f"Roster.notes = lambda *_: (_ for _ in ()).throw(ValueError({CANARY!r}))\n"
        "from threequarter.cli.main import main; main()"
    )
    with Store.open(tmp_path) as store:
        PhoneBalls(store).begin(CANARY)
    child = subprocess.Popen(
        [sys.executable, "-u", "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    match = re.search(r"http://127\.0\.0\.1:\d+", child.stdout.readline())
    assert match
    with pytest.raises(urllib.error.HTTPError) as answer:
        urllib.request.urlopen(f"{match[0]}/players/{urllib.parse.quote(CANARY)}/days", timeout=300)
    answer.value.close()
    child.terminate()
    _, said = child.communicate(timeout=300)
    assert answer.value.code == 500
    assert "ValueError" in said
    assert "Quillonwy" not in said


def test_each_kind_of_long_work_has_its_words() -> None:
    assert set(KINDS_SAID) == set(get_args(Kind))
