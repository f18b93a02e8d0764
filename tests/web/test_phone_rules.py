"""A paired phone on a laptop without accounts: it types and looks, but erases, deletes for good and exports nobody."""

import datetime
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import time_machine
from starlette.testclient import TestClient
from tests.web.academy_support import HOST, path_of
from tests.web.test_accounts_matrix import NONE, every

from threequarter.store.clips.clips import Clips
from threequarter.store.people.roster import Roster
from threequarter.web.app import PhoneDoor, make_app
from threequarter.web.phones.announcing import Announced
from threequarter.web.phones.pairing import COOKIE, Pairing
from threequarter.web.security.policy import RULES
from web_support import inner_of

NOT_ON_A_PHONE = {
    "/phones",
    "/phones/{phone_id}/remove",
    "/operation",
    "/operation/clips/{clip_id}/again",
    "/operation/errands/{number}/again",
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
    pairing = Pairing(tmp_path / "phones")
    door = PhoneDoor(pairing=pairing, secure="", plain="", authority=tmp_path / "ca.crt", announced=Announced())
    app = make_app(tmp_path, frozenset({HOST}), door, work=False)
    with TestClient(app, base_url=f"http://{HOST}", client=("192.168.1.7", 5000), follow_redirects=False) as client:
        client.cookies.set(COOKIE, pairing.pair(pairing.code(), "range phone") or "")
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
    for page in ("/", "/players/Robin%20Sedge", "/players/Robin%20Sedge/about", "/bin", "/acts"):
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
