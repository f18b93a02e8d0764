"""Pages offer what the door lets through: every link and form on every page that somebody comes to is followed up at
the door."""

import re
from collections.abc import Iterator
from html import unescape
from typing import Any
from urllib.parse import urljoin, urlsplit

import pytest
from sqlalchemy import select
from tests.web.academy_support import Academy, academy

from threequarter.store.accounts.sign_ins import FRESH
from threequarter.store.accounts.tables import SignInRow
from threequarter.store.database.schema import ClipRow
from threequarter.store.imports.save_import import now_utc
from threequarter.web.security.policy import may

OFFERED = re.compile(r"<(a|form|link|img|button)\b([^>]*)>")
PART = re.compile(r'([\w-]+)="([^"]*)"')


pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Academy]:
    with academy(tmp_path_factory.mktemp("academy")) as found:
        yield found


def offers(page: str, text: str) -> set[tuple[str, str]]:
    """Method and address of each link and form of a page, of this server."""
    found = set()
    for tag, rest in OFFERED.findall(text):
        parts = dict(PART.findall(rest))
        to = parts.get("action" if tag == "form" else "src" if tag == "img" else "href")
        if to is not None:
            parted = urlsplit(urljoin(page, unescape(to)))
            if not parted.netloc and not parted.scheme:
                method = parts.get("method", "get").upper() if tag == "form" else "GET"
                found.add((method, parted.path + (f"?{parted.query}" if parted.query else "")))
    return found


def walked(made: Academy, role: str, start: str) -> tuple[dict[str, Any], dict[tuple[str, str], str]]:
    """The pages that are come to from a first one, each address without its query once, and what they offer with
    where."""
    client, seen, told, waiting = made.client(role), {}, {}, [start]
    while waiting:
        page = waiting.pop()
        if (
            (path := urlsplit(page).path) in seen
            or path.endswith((".pdf", ".xlsx", ".parquet", ".csv"))
            or path.startswith("/static/")
        ):
            continue
        answer = client.get(page, headers={"accept": "text/html"})
        seen[path] = answer
        if "text/html" not in answer.headers.get("content-type", ""):
            continue
        for one in offers(page, answer.text):
            told.setdefault(one, page)
            if one[0] == "GET":
                waiting.append(one[1])
    return seen, told


@pytest.mark.parametrize(
    ("role", "start", "least"),
    [
        ("player", "/", 15),
        ("guardian", "/", 15),
        ("coach", "/", 30),
        ("head", "/", 5),
        ("link", "/shared/{link}", 1),
        ("nobody", "/sign-in", 1),
    ],
)
def test_nothing_is_offered_that_the_door_refuses(made: Academy, role: str, start: str, least: int) -> None:
    seen, told = walked(made, role, start.format(**made.secrets))
    door = made.at_the_door(role)
    wrong = []
    for (method, to), on in told.items():
        if urlsplit(to).path.startswith("/static/") or (role == "nobody" and to == "/"):
            continue
        answer = door.request(method, to, headers={"accept": "text/html"})
        if answer.status_code != 200:
            wrong.append((method, to, on, answer.status_code))
    assert wrong == []
    assert {
        path: one.status_code
        for path, one in seen.items()
        if one.status_code in (401, 403, 404) or one.status_code >= 500
    } == {}
    assert len(seen) >= least
    assert len(told) >= 2 * least


def test_a_players_page_lists_the_links_and_ends_one(made: Academy) -> None:
    client, number = made.client("coach"), made.ids["session_id"]
    page = "/players/Robin%20Sedge/about"
    assert client.post(f"/sessions/{number}/share", data={"what": "card", "days": "7"}).status_code == 200
    text = client.get(page).text
    ways = re.findall(r'action="(/shares/\d+/revoke)"><input type="hidden" name="back"\s+value="([^"]*)"', text)
    assert len(ways) == 2
    answer = client.post(ways[0][0], data={"back": ways[0][1]})
    assert (answer.status_code, answer.headers["location"]) == (303, f"{page}#links")
    assert len(re.findall(r'action="/shares/\d+/revoke"', client.get(page).text)) == 1
    assert client.post(ways[0][0], data={"back": "//evil.test"}).headers["location"].startswith(("/#", "/sessions"))
    assert 'id="links"' not in made.client("player").get(page).text


def test_the_first_page_tells_a_coach_of_films_that_end_and_only_then(made: Academy) -> None:
    assert "/films-ending" not in made.client("coach").get("/").text
    with made.store.writing() as session:
        session.get_one(ClipRow, made.ids["clip_id"]).told_at = now_utc()
    try:
        text = made.client("coach").get("/").text
        assert "1 clip will soon be deleted." in text
        assert 'href="/films-ending"' in text
        assert [
            role for role in ("player", "guardian", "other coach") if "films-ending" in made.client(role).get("/").text
        ] == []
    finally:
        with made.store.writing() as session:
            session.get_one(ClipRow, made.ids["clip_id"]).told_at = None


def test_nobody_of_an_academy_is_told_that_things_stay_on_this_computer(made: Academy) -> None:
    pages = {"coach": "/", "player": "/", "nobody": "/sign-in", "link": f"/shared/{made.secrets['link']}"}
    for role, page in pages.items():
        text = made.client(role).get(page).text
        assert "Kept on your academy's server." in text.replace("&#39;", "'"), role
        assert "on this computer." not in text, role


def test_without_accounts_everything_is_offered() -> None:
    assert may("GET /phones")
    assert may("GET /everything/export.json")
    with pytest.raises(KeyError):
        may("GET /no-such-page")


def test_a_way_in_is_changed_only_soon_after_signing_in(made: Academy) -> None:
    client = made.client("guardian")
    assert client.post("/account/passkeys/begin").status_code == 200
    with made.store.writing() as session:
        for row in session.scalars(select(SignInRow).where(SignInRow.account_id == made.accounts["Pat Sedge"])):
            row.made_at -= FRESH
    answer = client.post("/account/passkeys/begin")
    assert answer.status_code == 400
    assert "You signed in a while ago" in answer.json()["detail"]
    assert 'id="new-passkey"' not in client.get("/account").text
