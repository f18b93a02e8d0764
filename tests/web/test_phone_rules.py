"""A paired phone on a laptop without accounts: it types and looks, but erases, deletes for good and exports nobody."""

import datetime
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import time_machine
from starlette.testclient import TestClient
from tests.web.academy_support import HOST, path_of
from tests.web.test_accounts_matrix import NONE, every

from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.people.roster import Roster
from threequarter.web.app import PhoneDoor, make_app
from threequarter.web.phones.announcing import Announced
from threequarter.web.phones.pairing import COOKIE, Pairing
from threequarter.web.security.policy import RULES, Level
from web_support import inner_of

pytestmark = pytest.mark.slow

NOT_ON_A_PHONE = {
    "/phones",
    "/phones/on",
    "/phones/{phone_id}/remove",
    "/operation",
    "/operation/clips/{clip_id}/again",
    "/operation/tasks/{number}/again",
    "/metrics",
    "/api-tokens",
    "/api-tokens/{token_id}/remove",
    "/safekeeping",
    "/safekeeping/backup",
    "/safekeeping/restore",
    "/safekeeping/erased",
    "/players/{name:path}/erase",
    "/players/{name:path}/films/delete",
    "/bin/{what}/{thing_id}/delete",
    "/everything/balls.{form}",
    "/everything/export.json",
    "/api/export",
}
"""Written down here once more, on purpose."""


@pytest.fixture
def phone(tmp_path: Path) -> Iterator[TestClient]:
    with laptop_with_phones(tmp_path) as (app, pairing):
        yield from browser(app, "https", pairing.pair(pairing.code(), "range phone", sealed=True))


@pytest.fixture
def plain(tmp_path: Path) -> Iterator[TestClient]:
    """A phone that was paired over plain http, and comes so."""
    with laptop_with_phones(tmp_path) as (app, pairing):
        yield from browser(app, "http", pairing.pair(pairing.code(), "range phone"))


@contextmanager
def laptop_with_phones(folder: Path) -> Iterator[tuple[Any, Pairing]]:
    pairing = Pairing(folder / "phones")
    told = {"secure": "https://laptop.test:8443", "plain": f"http://{HOST}"}
    door = PhoneDoor(pairing=pairing, authority=folder / "ca.crt", announced=Announced(), **told)
    yield make_app(folder, frozenset({HOST}), door, work=False), pairing


def browser(app: Any, scheme: str, secret: str | None) -> Iterator[TestClient]:
    address = f"{scheme}://{HOST}"
    with TestClient(app, base_url=address, client=("192.168.1.7", 5000), follow_redirects=False) as client:
        client.cookies.set(COOKIE, secret or "")
        yield client


def test_on_every_route_a_paired_phone_is_refused_what_is_for_the_laptop_and_nothing_else(phone: TestClient) -> None:
    assert {rule.partition(" ")[2] for rule, need in RULES.items() if need.here} == NOT_ON_A_PHONE
    for method, route in every():
        answer = phone.request(method, path_of(route, NONE), headers={"accept": "text/html"})
        assert (answer.status_code == 403) == (route in NOT_ON_A_PHONE), (method, route, answer.status_code)


def test_a_phone_erases_nobody(phone: TestClient) -> None:
    store = inner_of(phone.app).state.store
    Roster(store).add("Robin Sedge")
    assert phone.post("/players/Robin%20Sedge/erase", data={"name": "Robin Sedge"}).status_code == 403
    assert Roster(store).names() == ["Robin Sedge"]


def test_a_page_offers_a_phone_nothing_that_it_may_not(phone: TestClient) -> None:
    Roster(inner_of(phone.app).state.store).add("Robin Sedge")
    assert "Robin Sedge" in phone.get("/players/Robin%20Sedge").text
    for page in ("/", "/players/Robin%20Sedge", "/players/Robin%20Sedge/about", "/bin", "/history"):
        links = re.findall(r'(?:href|action)="(/[^"?#]*)', phone.get(page).text)
        refused = [link for link in links if phone.get(link, headers={"accept": "text/html"}).status_code == 403]
        assert refused == [], page


def test_the_cookie_of_a_phone_is_given_anew_on_another_day(phone: TestClient) -> None:
    assert "set-cookie" not in phone.get("/bucket").headers
    with time_machine.travel(datetime.datetime.now(datetime.UTC) + datetime.timedelta(days=2)):
        given = phone.get("/bucket").headers["set-cookie"]
    assert given.startswith(f"{COOKIE}=")
    assert "HttpOnly" in given
    assert f"Max-Age={60 * 24 * 3600}" in given


def test_a_phone_stops_a_film_that_comes_in_but_deletes_none_that_is_here(phone: TestClient) -> None:
    clips = Clips(inner_of(phone.app).state.store)
    coming, here = (clips.begin(f"{name}.mp4", 4) for name in ("coming", "here"))
    clips.take(here, 0, b"film")
    assert phone.post(f"/clips/{coming}/delete").status_code == 303
    assert phone.post(f"/clips/{here}/delete").status_code == 403
    assert clips.clip(here).size == 4


TYPING = {
    "GET /pair",
    "POST /pair",
    "GET /bucket",
    "POST /bucket",
    "GET /bucket/waiting",
    "GET /bucket/{session_id}",
    "POST /api/sessions/{session_id}/balls",
    "GET /api/sessions/{session_id}/live",
    "POST /api/sessions/{session_id}/settle",
    "POST /api/sessions/{session_id}/move",
    "GET /api/typed-sessions",
}
"""What a phone may over plain http, written down here once more, on purpose."""
BALL = {"key": "d1f0c2a4-0001", "club": "54", "swing": "waist", "carry": 30.2, "unit": "m"}


def theirs(client: TestClient) -> int:
    """A session that was typed on the laptop, with one ball."""
    store = inner_of(client.app).state.store
    number = PhoneBalls(store).begin("Robin Sedge", "m")
    assert PhoneBalls(store).take(number, [BALL])[0].state == "saved"
    return number


def begun(client: TestClient, player: str = "Wren") -> int:
    return int(client.post("/bucket", data={"player": player}).headers["location"].rsplit("/", 1)[1])


def test_over_plain_http_a_phone_is_let_through_where_it_types_and_nowhere_else(plain: TestClient) -> None:
    assert {rule for rule, need in RULES.items() if need.typing} == TYPING
    ids = NONE | {"session_id": begun(plain)}
    for method, route in every():
        rule = RULES[f"{method} {route}"]
        status = plain.request(method, path_of(route, ids), headers={"accept": "text/html"}).status_code
        through = rule.level in (Level.OPEN, Level.LINK) or f"{method} {route}" in TYPING
        assert (status == 403) == (not through), (method, route, status)


def test_over_plain_http_a_phone_types_and_reads_back_what_it_began(plain: TestClient) -> None:
    number = begun(plain)
    told = plain.post(
        f"/api/sessions/{number}/balls", json={"balls": [BALL], "live": {"clubs": "54", "swings": "waist"}}
    )
    assert [one["state"] for one in told.json()["outcomes"]] == ["saved"]
    assert plain.get(f"/api/sessions/{number}/live").json()["balls"] == 1
    page = plain.get(f"/bucket/{number}").text
    assert "Wren" in page
    assert "others on this network could read along" in page
    assert [one["id"] for one in plain.get("/api/typed-sessions").json()["sessions"]] == [number]


def test_over_plain_http_a_phone_neither_reads_nor_changes_another_session_or_a_name(plain: TestClient) -> None:
    other = theirs(plain)
    store = inner_of(plain.app).state.store
    assert "Robin" not in plain.get("/bucket").text
    assert plain.get("/api/typed-sessions").json()["sessions"] == []
    changed = {"changes": [BALL | {"rev": 1, "carry": 101.5}]}
    for answer in (
        plain.get(f"/bucket/{other}"),
        plain.get(f"/api/sessions/{other}/live"),
        plain.post(f"/api/sessions/{other}/balls", json=changed),
        plain.post(f"/api/sessions/{begun(plain)}/move", json={"keys": [BALL["key"]], "to": other}),
    ):
        assert answer.status_code in (403, 404, 409), answer.url
        assert "Robin" not in answer.text
    assert [kept.ball.distance_m for kept in store.kept_balls(other)] == [30.2]


def test_over_plain_http_the_page_says_what_a_phone_may_and_leads_nowhere_it_may_not(plain: TestClient) -> None:
    number = begun(plain)
    for page in ("/bucket", f"/bucket/{number}", "/bucket/waiting"):
        text = plain.get(page).text
        links = re.findall(r'(?:href|action)="(/[^"?#]*)', text)
        refused = [link for link in links if plain.get(link, headers={"accept": "text/html"}).status_code == 403]
        assert refused == [], page
    refusal = plain.get("/players", headers={"accept": "text/html"}).text
    assert "https://laptop.test:8443" in refusal
    assert f"http://{HOST}/trust" in refusal


def test_a_pairing_made_over_plain_http_opens_no_more_over_https(tmp_path: Path) -> None:
    """Whoever read the cookie on the way can send it over https as well."""
    with laptop_with_phones(tmp_path) as (app, pairing):
        read_along = pairing.pair(pairing.code(), "range phone")
        for client in browser(app, "https", read_along):
            refused = client.get("/players", headers={"accept": "text/html"})
            assert refused.status_code == 403
            assert "https://laptop.test:8443/pair" in refused.text
            paired = client.post("/pair", data={"code": pairing.code()})
            assert "Secure" in paired.headers["set-cookie"]
            assert client.get("/players").status_code == 200


def test_the_cookie_of_a_pairing_over_https_opens_only_typing_where_it_is_sent_plainly(tmp_path: Path) -> None:
    with laptop_with_phones(tmp_path) as (app, pairing):
        for client in browser(app, "http", pairing.pair(pairing.code(), "range phone", sealed=True)):
            assert client.get("/players").status_code == 403
            assert client.get("/bucket").status_code == 200
