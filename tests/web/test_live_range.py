"""The live page and its routes: who may, what comes in, what is kept; no browser."""

from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.live_support import down, heard, seen

from threequarter.app.lessons import lesson_from, session_swings
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.clips.lessons import Lessons
from threequarter.store.store import Store
from threequarter.swing.live import LiveSeen
from threequarter.web.app import make_app

pytestmark = pytest.mark.slow

HOST = "127.0.0.1:8754"


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    return TestClient(make_app(tmp_path, frozenset({HOST}), work=False), base_url=f"http://{HOST}")


@pytest.fixture
def day(tmp_path: Path) -> int:
    return PhoneBalls(Store.open(tmp_path)).begin("Robin")


def body(live: LiveSeen, down_s: float) -> dict[str, Any]:
    """As the page sends it."""
    rows = [
        [*points.ravel().tolist(), *visible.tolist(), *world.ravel().tolist()]
        for points, visible, world in zip(live.points, live.visibility, live.world, strict=True)
    ]
    return {
        "times": live.time_s.tolist(),
        "rows": rows,
        "size": [live.width, live.height],
        "light": live.light,
        "down_s": down_s,
        "now_s": down_s + 1.5,
        "sound_s": live.sound_s,
        "loud_db": live.loud_db.tolist(),
    }


def agreed(client: TestClient, day: int, films: str = "") -> None:
    client.post(f"/sessions/{day}/live", data={"agreed": "yes", "films": films, "by_whom": "Robin"})


def begun(client: TestClient, day: int) -> Any:
    return client.post(
        "/clips/begin", data={"name": "Live, ball 1.webm", "size": "4", "session": str(day), "age_s": "5"}
    )


def test_nothing_is_measured_before_the_player_agreed(client: TestClient, day: int) -> None:
    assert 'id="live-start"' not in client.get(f"/sessions/{day}/live").text
    told = client.post(f"/sessions/{day}/live/swings", json=body(heard("o01_plain"), down("o01_plain")))
    assert told.status_code == 409
    assert "agreed" in told.json()["detail"]
    agreed(client, day)
    page = client.get(f"/sessions/{day}/live")
    assert 'id="live-start"' in page.text
    assert "camera=(self), microphone=(self)" in page.headers["permissions-policy"]
    assert "wasm" not in page.headers["content-security-policy"]


def test_a_ball_is_kept_with_its_swing_and_without_a_film(client: TestClient, day: int, tmp_path: Path) -> None:
    agreed(client, day)
    found = client.post(f"/sessions/{day}/live/swings", json=body(heard("o01_plain"), down("o01_plain"))).json()
    assert found["kind"] == "ball"
    assert found["number"] == 1
    assert found["match_says"]
    assert "±" in found["back_says"]
    asked = {"key": "b" * 32, "club": "54", "swing": "waist", "carry": 41, "unit": "yd"}
    told = client.post(f"/sessions/{day}/live/{found['clip']}/1/ball", json=asked)
    assert told.json() == {"number": 1}
    store = Store.open(tmp_path)
    ball = store.kept_balls(day)[0]
    assert Lessons(store).links(day) == {(found["clip"], 1): ball.id}
    assert not list(Clips(store).folder(found["clip"]).iterdir())
    lesson = client.get(f"/sessions/{day}/lesson")
    assert lesson.status_code == 200
    assert "Last swing, ball 1" in lesson.text
    shown = client.get(f"/clips/{found['clip']}")
    assert shown.status_code == 200
    assert "Live on the range" in shown.text
    assert 'id="film"' not in shown.text


def test_practice_swings_are_answered_and_not_kept(client: TestClient, day: int, tmp_path: Path) -> None:
    agreed(client, day)
    found = client.post(f"/sessions/{day}/live/swings", json=body(seen("o01_plain"), down("o01_plain"))).json()
    assert found["kind"] == "practice"
    assert "clip" not in found
    assert Clips(Store.open(tmp_path)).of_session(day) == []


def test_who_agreed_to_be_watched_is_not_filmed(client: TestClient, day: int, tmp_path: Path) -> None:
    agreed(client, day)
    page = client.get(f"/sessions/{day}/live").text
    assert "No clips are saved" in page
    assert "live-keep" not in page
    assert not Clips(Store.open(tmp_path)).agreed(day)
    assert begun(client, day).status_code == 400
    client.cookies.clear()
    assert 'id="live-start"' not in client.get(f"/sessions/{day}/live").text


def test_a_kept_clip_hangs_on_its_swing_and_its_measures_take_the_place(
    client: TestClient, day: int, tmp_path: Path
) -> None:
    agreed(client, day, films="yes")
    assert 'id="live-keep"' in client.get(f"/sessions/{day}/live").text
    live = client.post(f"/sessions/{day}/live/swings", json=body(heard("o01_plain"), down("o01_plain"))).json()
    asked = {"key": "e" * 32, "club": "54", "swing": "waist", "carry": 41, "unit": "yd"}
    client.post(f"/sessions/{day}/live/{live['clip']}/1/ball", json=asked)
    film = begun(client, day).json()["id"]
    hang = f"/sessions/{day}/live/{live['clip']}/1/film"
    assert client.post(hang, data={"film": film, "at_s": "3.2"}).json() == {"film": film}
    assert client.post(hang, data={"film": live["clip"], "at_s": "3.2"}).status_code == 404  # no film
    assert client.post(hang.replace("/1/film", "/2/film"), data={"film": film, "at_s": "3.2"}).status_code == 404
    store = Store.open(tmp_path)
    clips, [ball] = Clips(store), store.kept_balls(day)
    assert f"/clips/{film}" in client.get(f"/sessions/{day}/lesson").text
    assert [(one.clip.id, one.number) for one in session_swings(store, day)[0]] == [(live["clip"], 1)]
    answer = clips.clip(live["clip"]).answer
    assert answer is not None
    measured = {name: value for name, value in answer["swings"][0].items() if name != "film"}
    early, swing = ({**measured, "number": n, "t_impact_s": at} for n, at in ((1, 1.1), (2, 3.15)))
    clips.mark(film, "done", answer={**answer, "swings": [early, swing]})
    seen, places = session_swings(store, day)
    assert [(one.clip.id, one.number) for one in seen] == [(film, 2)]
    assert places == {(live["clip"], 1): (film, 2)}
    shown = lesson_from(store, store.session(day), None)
    assert [(pair.ball, pair.how) for pair in shown.pairs] == [(0, "by hand")]
    assert shown.kept[0].id == ball.id
    its_page = client.get(f"/sessions/{day}/one?club=54&swing=waist")
    assert its_page.status_code == 200
    assert f"/clips/{film}" in its_page.text
    assert client.post(f"/clips/{film}/bin", follow_redirects=False).status_code == 303
    assert [one.clip.id for one in session_swings(store, day)[0]] == [live["clip"]]


@pytest.mark.parametrize(
    "wrong",
    [
        {"times": [1.0, 1.0, 2.0, 3.0]},
        {"rows": [[0.0] * 198]},
        {"size": [0, 0]},
        {"rows": [[0.0] * 7] * 4},
        {"loud_db": [0.0] * 9000},
        {"light": 999},
    ],
)
def test_what_is_no_swing_is_refused(client: TestClient, day: int, wrong: dict[str, Any]) -> None:
    agreed(client, day)
    good = body(seen("o01_plain"), down("o01_plain"))
    assert client.post(f"/sessions/{day}/live/swings", json=good | wrong).status_code == 422


def test_a_ball_beside_a_swing_that_is_not_there_is_told(client: TestClient, day: int, tmp_path: Path) -> None:
    asked = {"key": "c" * 32, "club": "54", "swing": "waist", "carry": 41, "unit": "yd"}
    assert client.post(f"/sessions/{day}/live/999/1/ball", json=asked).status_code == 404
    agreed(client, day)
    found = client.post(f"/sessions/{day}/live/swings", json=body(heard("o01_plain"), down("o01_plain"))).json()
    assert client.post(f"/sessions/{day}/live/{found['clip']}/2/ball", json=asked).status_code == 404
    wrong = client.post(f"/sessions/{day}/live/{found['clip']}/1/ball", json=asked | {"carry": 4000})
    assert wrong.status_code == 409
    assert "carries" in wrong.json()["detail"]
    assert not Store.open(tmp_path).kept_balls(day)


def test_only_the_worker_may_compile_and_the_models_are_served(client: TestClient) -> None:
    worker = client.get("/static/live/pose_worker.js")
    assert "'wasm-unsafe-eval'" in worker.headers["content-security-policy"]
    assert "'unsafe-eval'" not in worker.headers["content-security-policy"]
    assert "wasm" not in client.get("/static/live.js").headers["content-security-policy"]
    model = client.get("/static/live/models/pose_landmark_full.tflite")
    assert model.status_code == 200
    assert len(model.content) > 6_000_000
    assert client.get("/static/live/models/../measure.py").status_code == 404
