"""What is typed where a number belongs and is none to anybody but a computer: told in words, never a fault of ours, never computed with."""

import json
from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.language import say
from threequarter.web.app import make_app
from threequarter.web.page_context import number

HOST = "localhost:8754"
NONE = ("nan", "inf", "-inf", "1e999", "1e308", "-1e308", "9" * 5000, "³")


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    app = make_app(tmp_path_factory.mktemp("data"), frozenset({HOST}), work=False)
    with TestClient(app, base_url=f"http://{HOST}", raise_server_exceptions=False) as made:
        for who in ("Ada Quill", "Bo Sedge"):
            day = made.post("/bucket", data={"player": who, "unit": "m"}).url.path.rsplit("/", 1)[1]
            typed = {"club": "54", "swing": "waist", "unit": "m"}
            balls = [typed | {"key": f"key-{who[0]}-{n:04}", "carry": 30 + n % 5} for n in range(14)]
            made.post(f"/api/sessions/{day}/balls", json={"balls": balls})
        yield made


@pytest.mark.parametrize("typed", NONE, ids=lambda typed: typed[:8])
def test_a_page_says_that_it_is_no_number(client: TestClient, typed: str) -> None:
    with pytest.raises(UserError):
        number(typed, "The carry")
    for field in ("balls", "minutes", "full", "spread"):
        assert client.get("/plan", params={field: typed}).status_code == 400
    for page, field in (("shot", "depth"), ("day", "altitude_m"), ("day", "wind_mps"), ("wedges", "from")):
        answer = client.get(f"/sessions/1/{page}", params={"to": "31", field: typed})
        assert answer.status_code < 500
        assert "is not a number" in answer.text, (page, field)
    for field in ("ended-1", "called-1"):
        asked = {"unit": "m", "ended-1": "30", "called-1": "31"} | {field: typed}
        assert client.post("/sessions/1/practice", data=asked).status_code == 400
    for field in ("balls", "seed", "ended-1"):
        asked = {"balls": "1", "seed": "3", "unit": "m", "ended-1": "30", "ended-2": "31"} | {field: typed}
        answer = client.post("/game", data={"who": ["Ada Quill", "Bo Sedge"], **asked})
        assert answer.status_code < 500, field


def test_a_number_of_hundreds_of_digits_is_said_by_its_size(client: TestClient) -> None:
    assert say(Message("store.there_is_no_import_see", import_id=10**400 - 1)).count("9") < 5
    answer = client.get("/clips/" + "9" * 400)
    assert answer.status_code < 500


@pytest.mark.parametrize("at", ["1" + "0" * 400, "-1" + "0" * 4000, "1e999", "NaN", "1e300"])
def test_a_copy_of_a_phone_whose_clock_is_no_time_is_no_fault(client: TestClient, at: str) -> None:
    bucket = {"key": "0" * 32, "player": "Z", "unit": "m", "clubs": [], "swings": [], "at": 0, "balls": []}
    copy = json.dumps({"format": "threequarter phone 1", "buckets": [bucket]}).replace('"at": 0', f'"at": {at}')
    assert client.post("/look", files={"file": ("phone.json", copy.encode())}).status_code < 500
