"""Who sees what: every route of the app × every role × own, another's and no thing, generated from the route table;
Host and cross-site on every route; looking changes no row."""

import hashlib
import re
from collections.abc import Iterator
from typing import Any

import pytest
from fastapi import APIRouter, FastAPI
from sqlalchemy import select
from starlette.responses import PlainTextResponse
from tests.web.academy_support import HOST, Academy, academy, path_of

from threequarter.store.database.schema import Base
from threequarter.web.security.authorization import AuthorizedRouter, deny_by_default, include_router
from threequarter.web.security.policy import RULES, Level
from threequarter.web.security.resource_lookup import FREE, LOOKS

pytestmark = pytest.mark.slow
OWNERS = ("head in the room", "coach", "player", "guardian", "token")
OTHERS = ("head", "other coach")
STRANGERS = ("link", "nobody")
COACHES = ("head", "head in the room", "coach", "other coach", "token")
ALLOWED: dict[Level, tuple[str, ...]] = {
    Level.OPEN: (*OWNERS, *OTHERS, *STRANGERS),
    Level.SIGNED_IN: (*OWNERS, *OTHERS),
    Level.SEE: (*OWNERS, *OTHERS),
    Level.TYPE: (*OWNERS, *OTHERS),
    Level.COACH: COACHES,
    Level.HEAD: ("head", "head in the room"),
    Level.MYSELF: ("head", "head in the room", "coach", "player", "guardian", "other coach"),
    Level.LINK: (),
    Level.NEVER: (),
}
"""Who may do what a level is for, of what is theirs: written down here once more, on purpose."""
WORDS = {
    "number": 1,
    "form": "csv",
    "act": "undo",
    "way": "back",
    "what": "clip",
    "kind": "import",
    "name": "swing1.svg",
    "secret": "wrong",
}
UNWATCHED = {"audit", "sign_in", "tries", "challenge"}
"""What a look may change: the record of looks, when a browser was last seen, counts of tries."""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Academy]:
    with academy(tmp_path_factory.mktemp("academy")) as found:
        yield found


def every() -> list[tuple[str, str]]:
    """Method and pattern of each route; those of other tests' own apps aside."""
    return [(method, path) for method, _space, path in (rule.partition(" ") for rule in RULES)]


def parts(route: str) -> list[str]:
    return re.findall(r"\{([^}]+)\}", route)


def named(route: str) -> list[str]:
    """The parts of a pattern that name a thing."""
    return [part for part in parts(route) if part not in FREE]


def ids_of(made: Academy) -> dict[str, Any]:
    return (
        WORDS
        | made.ids
        | {
            "entry_id": made.ids["import_id"],
            "thing_id": made.ids["clip_id"],
            "batch": "none",
            "phone_id": "none",
            "passkey_id": 0,
            "token_id": 0,
            "sign_in_id": 0,
        }
    )


NONE = WORDS | {
    "session_id": 99999,
    "import_id": 99999,
    "clip_id": 99999,
    "clinic_id": 99999,
    "note_id": 99999,
    "share_id": 99999,
    "task_id": 99999,
    "ball_id": 99999,
    "name:path": "Nobody Known",
    "entry_id": 99999,
    "thing_id": 99999,
    "batch": "none",
    "account_id": 99999,
    "passkey_id": 99999,
    "token_id": 99999,
    "sign_in_id": 99999,
    "key": "0" * 32,
    "phone_id": "none",
}


def rows(made: Academy) -> dict[str, str]:
    """A fingerprint of the rows of each table."""
    with made.store.reading() as session:
        return {
            table.name: hashlib.sha256(
                repr(session.execute(select(table).order_by(*table.primary_key.columns)).all()).encode()
            ).hexdigest()
            for table in Base.metadata.sorted_tables
            if table.name not in UNWATCHED
        }


def ask(client: Any, method: str, path: str) -> Any:
    return client.request(method, path, headers={"accept": "text/html"}, data={} if method == "POST" else None)


def test_every_route_of_the_description_holds_its_rule(made: Academy) -> None:
    told = {(method.upper(), path) for path, methods in made.inner.openapi()["paths"].items() for method in methods}
    assert {(method, path.replace(":path}", "}")) for method, path in every()} >= told
    assert len(told) > 150


def test_a_route_without_a_rule_is_an_error_when_it_is_made() -> None:
    router = AuthorizedRouter()
    with pytest.raises(TypeError, match="/anything has 0 rules"):
        router.get("/anything")(lambda: None)


def test_an_app_with_a_route_outside_the_rules_does_not_start() -> None:
    app, unruled = FastAPI(openapi_url=None), APIRouter()
    unruled.get("/unruled")(lambda: None)
    app.mount("/static", PlainTextResponse(""))
    deny_by_default(app)
    with pytest.raises(TypeError, match="/unruled"):
        include_router(app, unruled)
    app.get("/left-open")(lambda: None)
    with pytest.raises(TypeError, match="/left-open"):
        deny_by_default(app)


def test_every_part_of_an_address_is_known(made: Academy) -> None:
    for _method, route in every():
        for part in parts(route):
            assert part in FREE or part in LOOKS or part in ("key", "phone_id"), (route, part)


def test_what_is_not_allowed_is_refused_on_every_route_for_every_role_and_changes_nothing(made: Academy) -> None:
    before, asked, wrong = rows(made), 0, []
    for method, route in every():
        level = RULES[f"{method} {route}"].level
        theirs = bool(named(route))
        for role in (*OWNERS, *OTHERS, *STRANGERS):
            if level is Level.OPEN or (role in ALLOWED[level] and not (theirs and role in OTHERS)):
                continue
            if role == "head" and set(named(route)) == {"account_id"}:
                continue  # a head manages every account
            answer = ask(made.at_the_door(role), method, path_of(route, ids_of(made)))
            asked += 1
            right = answer.status_code in ((303, 401) if role in STRANGERS and level is not Level.LINK else (403, 404))
            if answer.status_code == 303:
                right = answer.headers["location"].startswith("/sign-in")
            if not right:
                wrong.append((role, method, route, answer.status_code))
    assert wrong == []
    assert asked > 400
    assert rows(made) == before


def test_anothers_thing_answers_exactly_as_one_that_is_not_there(made: Academy) -> None:
    compared = 0
    for method, route in every():
        need = RULES[f"{method} {route}"]
        if not named(route) or need.level in (Level.OPEN, Level.LINK):
            continue
        client = made.client("other coach")
        there, missing = (ask(client, method, path_of(route, ids)) for ids in (ids_of(made), NONE))
        assert (there.status_code, plain(there)) == (missing.status_code, plain(missing)) == (404, plain(there)), route
        compared += 1
    assert compared > 60


def plain(answer: Any) -> str:
    """An answer without the id of its request."""
    text = answer.text.replace(answer.headers["x-request-id"], "ID")
    return re.sub(r"(\d+|none)", "N", text)


def test_what_is_allowed_is_let_through_on_every_route_for_every_role(made: Academy) -> None:
    asked, wrong = 0, []
    for method, route in every():
        level = RULES[f"{method} {route}"].level
        if level is Level.LINK or {"batch", "passkey_id", "sign_in_id", "token_id"} & set(named(route)):
            continue
        for role in ALLOWED[level]:
            own = role in OWNERS and not (role in ("player", "guardian", "token") and "key" in named(route))
            if named(route) and not own:
                continue
            if "key" in named(route) or ("account_id" in named(route) and role == "token"):
                continue
            asked += 1
            status = ask(made.at_the_door(role), method, path_of(route, ids_of(made))).status_code
            if status != 200:
                wrong.append((role, method, route, status))
    assert wrong == []
    assert asked > 400


def test_a_coach_looks_at_every_page_and_looking_changes_no_row(made: Academy) -> None:
    before, seen, wrong = rows(made), 0, []
    for method, route in every():
        level = RULES[f"{method} {route}"].level
        if method != "GET" or "coach" not in ALLOWED[level] or "openapi" in route:
            continue
        answer = ask(made.client("coach"), "GET", path_of(route, ids_of(made)))
        seen += 1
        if answer.status_code not in (200, 303, 400) and (named(route) or answer.status_code != 404):
            wrong.append((route, answer.status_code))
    assert wrong == []
    assert seen > 50
    assert {name for name, found in rows(made).items() if found != before[name]} == set()


def test_lists_of_others_show_nothing_of_theirs(made: Academy) -> None:
    marks = (
        "keeps the hands quiet",
        "demo bucket.csv",
        f'/sessions/{made.ids["session_id"]}"',
        "Pat Sedge",
        "clip.mp4",
    )
    for _method, route in every():
        need = RULES.get(f"GET {route}")
        if need is None or named(route) or parts(route) or need.level in (Level.OPEN, Level.NEVER):
            continue
        text = ask(
            made.client("other coach"),
            "GET",
            f"{route}?q=hands&sessions={made.ids['session_id']}&session={made.ids['session_id']}",
        ).text
        assert [mark for mark in marks if mark in text] == [], route


@pytest.mark.parametrize("role", ["other coach", "head"])
def test_a_thing_of_anothers_is_not_reached_by_a_form_or_a_query_either(made: Academy, role: str) -> None:
    before, client, number = rows(made), made.client(role), made.ids["session_id"]
    assert (
        client.post(
            "/clips/begin", data={"name": "a.mp4", "size": "10", "session": str(number), "agree": "yes"}
        ).status_code
        == 404
    )
    client.post("/players/Jo%20Reed/give", data={"to": "Someone New", "sessions": str(number)})
    assert (
        client.post("/people", data={"role": "guardian", "name": "Spy", "player": str(made.ids["player"])}).status_code
        == 400
    )
    changed = {name for name, found in rows(made).items() if found != before[name]}
    with made.store.reading() as session:
        of = session.execute(
            select(Base.metadata.tables["session"].c.player_id).where(Base.metadata.tables["session"].c.id == number)
        ).scalar()
    assert of == made.ids["player"]
    assert changed <= {"player", "history_entry"}  # the new player in their own room, and that act


def test_a_player_can_neither_enter_nor_find_anybody_else(made: Academy) -> None:
    before, client = rows(made), made.client("player")
    for name in ("Jo Reed", "Someone New", f"Robin Sedge #{made.ids['player'] + 1}"):
        assert client.post("/bucket", data={"player": name}).status_code == 404
    assert rows(made) == before
    assert client.post("/bucket", data={"player": "Robin Sedge"}).status_code == 303


def test_two_players_of_one_name_in_two_rooms_are_two(made: Academy) -> None:
    theirs, others = (made.client(role).get("/players/Sam%20Lyme/days").text for role in ("coach", "other coach"))
    assert "has a new putter" in theirs
    assert "tees it low" not in theirs
    assert "tees it low" in others
    assert "has a new putter" not in others
    assert (
        "keeps the hands quiet" not in made.client("guardian").get("/players/Robin%20Sedge").text
    )  # a coach's notes are the coach's


HOSTS = (
    "evil.test",
    f"{HOST}.",
    "",
    "localhost:1",
    "localhost:99999999",
    f"{HOST}@x",
    "localhost",
    f"evil.test#{HOST}",
)


def test_a_host_that_is_not_ours_is_refused_on_every_route(made: Academy) -> None:
    client, wrong = made.client("coach"), []
    for method, route in [*every(), ("GET", "/static/app.css"), ("GET", "/no-such-page")]:
        for host in HOSTS:
            answer = client.request(method, path_of(route, ids_of(made)), headers={"host": host})
            if answer.status_code != 400:
                wrong.append((method, route, host, answer.status_code))
    assert wrong == []


CROSS = (
    {"origin": "https://evil.test"},
    {"origin": "null"},
    {"sec-fetch-site": "cross-site"},
    {"sec-fetch-site": "same-site"},
    {"origin": f"http://{HOST}.evil.test"},
)


def test_a_write_from_another_site_is_refused_on_every_route(made: Academy) -> None:
    before, wrong, client = rows(made), [], made.client("coach")
    for method, route in every():
        for headers in CROSS if method != "GET" else ():
            for kind in ("application/x-www-form-urlencoded", "text/plain", "application/json"):
                answer = client.request(
                    method, path_of(route, ids_of(made)), headers={**headers, "content-type": kind}, content=b"{}"
                )
                if answer.status_code != 403:
                    wrong.append((method, route, headers, answer.status_code))
    assert wrong == []
    assert rows(made) == before


def test_forged_words_of_a_proxy_change_nothing(made: Academy) -> None:
    """From a peer that is not named as a proxy: no way in, no other scheme, no other address in the record."""
    forged = {
        "x-forwarded-for": "127.0.0.1",
        "x-forwarded-proto": "https",
        "x-forwarded-host": "evil.test",
        "forwarded": "for=127.0.0.1;proto=https",
        "remote-user": "Kim Fescue",
        "x-remote-user": "Kim Fescue",
        "x-original-url": "/health",
        "x-real-ip": "127.0.0.1",
    }
    stranger = made.at_the_door("nobody")
    for method, route in every():
        if RULES[f"{method} {route}"].level in (Level.OPEN, Level.LINK):
            continue
        path = path_of(route, ids_of(made))
        without = stranger.request(method, path).status_code
        assert stranger.request(method, path, headers=forged).status_code == without, route
    assert made.client("coach").get("/account", headers=forged).status_code == 200


def test_what_is_allowed_to_write_is_not_refused(made: Academy) -> None:
    """Last, since it changes things: an empty form is answered as such, never as a refusal. The coach comes after the
    others, since an empty form of the coach's gives the session to nobody, and then it is rightly not the player's any
    more. The way in is not asked here: a wrong sign-in is refused, whoever is signed in."""
    left_out = (
        "delete",
        "sign-out",
        "/end",
        "undo",
        "bin",
        "{act}",
        "/drop",
        "role",
        "/history",
        "merge",
        "archive",
        "{key}",
        "batch",
    )
    asked, wrong = 0, []
    for role in ("player", "guardian", "coach"):
        for method, route in every():
            level = RULES[f"{method} {route}"].level
            if (
                method == "GET"
                or level in (Level.OPEN, Level.LINK, Level.NEVER, Level.MYSELF)
                or role not in ALLOWED[level]
            ):
                continue
            if (role != "coach" and level is not Level.TYPE) or any(word in route for word in left_out):
                continue
            asked += 1
            answer = ask(made.client(role), method, path_of(route, ids_of(made)))
            if answer.status_code in (401, 403, 404) or answer.status_code >= 500:
                wrong.append((role, method, route, answer.status_code, answer.text[:80]))
    assert wrong == []
    assert asked > 60
