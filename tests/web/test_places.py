"""The four places: on every page that leads on, the right one marked, and only those that a role may open."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.web.academy_support import HOST, Academy, academy

from threequarter.web.app import PhoneDoor, make_app
from threequarter.web.phones.announcing import Announced
from threequarter.web.phones.pairing import COOKIE, Pairing

NAV = re.compile(r'<nav class="places".*?</nav>', re.DOTALL)
LINK = re.compile(r'<a href="([^"]+)"(?: aria-current="(\w+)")?>')
ALL = ["/", "/players", "/bring-in", "/kept"]


def places(text: str) -> list[tuple[str, str]]:
    """Address and mark of each place a page leads to."""
    found = NAV.search(text)
    return LINK.findall(found[0]) if found else []


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    app = make_app(tmp_path, frozenset({HOST}), work=False)
    with TestClient(app, base_url=f"http://{HOST}") as made:
        yield made


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Academy]:
    with academy(tmp_path_factory.mktemp("academy")) as found:
        yield found


def test_every_page_leads_to_four_places_and_marks_where_it_belongs(client: TestClient) -> None:
    client.post("/demo", follow_redirects=False)
    session = "/sessions/1"
    for page, place, mark in (
        ("/", "/", "page"),
        ("/lesson", "/", "true"),
        ("/clinic", "/", "true"),
        ("/players", "/players", "page"),
        ("/players/Robin%20Sedge", "/players", "true"),
        (session, "/players", "true"),
        ("/bring-in", "/bring-in", "page"),
        ("/kept", "/kept", "page"),
        ("/history", "/kept", "true"),
        ("/safekeeping", "/kept", "true"),
        ("/nothing", "", ""),
    ):
        found = places(client.get(page).text)
        assert [address for address, _ in found] == ALL, page
        assert {address: told for address, told in found if told} == ({place: mark} if place else {}), page


def test_the_round_view_and_the_thumb_keys_keep_their_whole_screen(client: TestClient) -> None:
    client.post("/demo", follow_redirects=False)
    session = "/sessions/1"
    for page in (f"{session}/round", session.replace("sessions", "bucket")):
        answer = client.get(page)
        assert answer.status_code == 200
        assert places(answer.text) == []


def test_a_table_dropped_on_bring_in_is_read_first(client: TestClient) -> None:
    page = client.get("/bring-in").text
    assert 'action="/look"' in page
    assert 'action="/type"' in page
    answer = client.post("/look", files={"file": ("balls.csv", b"Club,Swing,Carry (yd)\n54,waist,51\n54,waist,52\n")})
    assert dict(places(answer.text))["/bring-in"] == "true"


def test_a_role_sees_the_places_it_may_open_and_a_link_none(made: Academy) -> None:
    for role, expected in (
        ("coach", ALL),
        ("player", ["/", "/players", "/kept"]),
        ("guardian", ["/", "/players", "/kept"]),
    ):
        client = made.client(role)
        assert [address for address, _ in places(client.get("/players").text)] == expected
        assert client.get("/bring-in").status_code == (200 if "/bring-in" in expected else 403)
    assert places(made.client("nobody").get("/sign-in").text) == []
    shared = made.client("link").get(f"/shared/{made.secrets['link']}")
    assert shared.status_code == 200
    assert places(shared.text) == []


def test_kept_offers_a_player_no_backups_and_a_head_all(made: Academy) -> None:
    player, head = (made.client(role).get("/kept").text for role in ("player", "head"))
    assert "/ways-out" in player
    assert "/safekeeping" not in player
    assert "/history" not in player
    for address in ("/history", "/safekeeping", "/ways-out", "/operation", "/language"):
        assert f'"{address}"' in head


def test_kept_on_a_paired_phone_leaves_out_what_only_the_laptop_does(tmp_path: Path) -> None:
    pairing = Pairing(tmp_path / "phones")
    door = PhoneDoor(pairing=pairing, secure="", plain="", authority=tmp_path / "ca.crt", announced=Announced())
    app = make_app(tmp_path, frozenset({HOST}), door, work=False)
    with TestClient(app, base_url=f"https://{HOST}", client=("192.168.1.7", 5000)) as phone:
        phone.cookies.set(COOKIE, pairing.pair(pairing.code(), "range phone", sealed=True) or "")
        page = phone.get("/kept").text
    assert "/bucket/waiting" in page
    assert "/safekeeping" not in page
    assert 'href="/phones"' not in page
