"""One shape of an error in JSON (RFC 9457), on every route, for whoever asks for JSON: refused, not there, not understood."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.web.academy_support import HOST, Academy, academy, path_of
from tests.web.test_accounts_matrix import NONE, every, ids_of

from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.web.app import make_app
from web_support import inner_of

JSON = {"accept": "application/json"}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Academy]:
    with academy(tmp_path_factory.mktemp("academy")) as found:
        yield found


@pytest.fixture
def laptop(tmp_path: Path) -> Iterator[TestClient]:
    app = make_app(tmp_path, frozenset({HOST}))
    PhoneBalls(inner_of(app).state.store).begin("Wren Sedge")
    with TestClient(app, base_url=f"http://{HOST}", raise_server_exceptions=False) as client:
        yield client


def wrong_with(answer: Any) -> str:
    """What is not as it should be in an error, "" for nothing."""
    if answer.headers.get("content-type") != "application/problem+json":
        return f"{answer.status_code} {answer.headers.get('content-type')}"
    told = answer.json()
    if set(told) < {"type", "title", "status", "detail", "code"} or "error" in told:
        return str(sorted(told))
    if told["status"] != answer.status_code or not told["detail"] or told["code"] != answer.headers["x-request-id"]:
        return str(told)
    return ""


@pytest.mark.slow
@pytest.mark.parametrize("role", ["nobody", "player", "token"])
def test_every_route_refuses_in_the_one_shape(made: Academy, role: str) -> None:
    client, wrong, refused = made.client(role), [], 0
    for method, route in every():
        answer = client.request(method, path_of(route, NONE), headers=JSON)
        if answer.status_code < 400 or "<form" in answer.text:  # a form shown again, with what is wrong
            continue
        refused += 1
        if says := wrong_with(answer):
            wrong.append((method, route, says))
    assert wrong == []
    assert refused > 60


@pytest.mark.slow
def test_requests_turned_away_before_a_route_have_the_same_shape(made: Academy) -> None:
    client, path = made.client("coach"), f"/api/sessions/{ids_of(made)['session_id']}/live"
    answers = [
        client.get(path, headers={"host": "evil.test"}),
        client.post("/clips/begin", headers=JSON | {"origin": "https://evil.test"}),
        client.get("/api/players", headers={"authorization": "Bearer wrong"}),
        client.get("/no-such-page", headers=JSON),
        client.put("/sign-out", headers=JSON),
        client.get("/static/none.js", headers=JSON),
        client.post("/clips/begin", headers=JSON),
    ]
    assert [answer.status_code for answer in answers] == [400, 403, 401, 404, 405, 404, 422]
    assert [wrong_with(answer) for answer in answers] == [""] * 7


ODD: tuple[Any, ...] = ([], {}, [1], {"a": 1}, True, 7, -1.5, 10**400, "x" * 100_000, None)
BALL: dict[str, Any] = {"key": "a-key-of-its-own", "club": "54", "swing": "waist", "carry": 40, "unit": "yd"}
FIELDS = (*BALL, "by", "strike", "side", "step", "count", "radius_m", "start_radius_m", "guess", "guess_unit", "age_s")


def test_a_typed_ball_of_wrong_types_is_never_a_fault_of_ours(laptop: TestClient) -> None:
    refused = 0
    for field in FIELDS:
        for value in ODD:
            ball = BALL | {"key": f"{field}-of-its-own", field: value}
            for body in ({"balls": [ball]}, {"changes": [ball | {"rev": 1}]}):
                answer = laptop.post("/api/sessions/1/balls", json=body)
                assert answer.status_code in (200, 422), (field, value, answer.text)
                refused += answer.status_code == 422
                assert answer.status_code == 200 or wrong_with(answer) == ""
    assert refused > 60


@pytest.mark.parametrize("field", ["unit", "by", "strike", "key", "guess_unit"])
@pytest.mark.parametrize("value", [["yd"], {"yd": 1}])
def test_a_list_or_an_object_for_a_word_is_refused(laptop: TestClient, field: str, value: Any) -> None:
    answer = laptop.post("/api/sessions/1/balls", json={"balls": [BALL | {field: value}]})
    assert answer.status_code == 422
    assert f"body.balls.0.{field}" in answer.json()["detail"]


@pytest.mark.parametrize("key", ["\\ud800\\udfff\\ud800-long", "with\\u0000a-control"])
def test_a_key_that_no_database_holds_is_refused(laptop: TestClient, key: str) -> None:
    body = f'{{"balls": [{{"key": "{key}", "club": "54", "swing": "waist", "carry": 40, "unit": "yd"}}]}}'
    answer = laptop.post("/api/sessions/1/balls", content=body, headers={"content-type": "application/json"})
    assert (answer.status_code, wrong_with(answer)) == (422, "")


@pytest.mark.parametrize("path", ["settle", "move", "balls"])
@pytest.mark.parametrize(
    "body", [[], "x", {"keys": "x", "to": 1, "balls": "x"}, {"keys": [1], "to": "a", "balls": [1]}]
)
def test_bodies_of_another_shape_are_refused(laptop: TestClient, path: str, body: Any) -> None:
    answer = laptop.post(f"/api/sessions/1/{path}", json=body)
    assert (answer.status_code in (400, 422), wrong_with(answer)) == (True, "")
