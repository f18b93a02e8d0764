"""The second step beside a password: a real app over a real database, on both kinds."""

import base64
import datetime
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import time_machine
from cryptography.hazmat.primitives.hashes import SHA1
from cryptography.hazmat.primitives.twofactor.totp import TOTP
from sqlalchemy import text
from starlette.testclient import TestClient
from tests.web.test_accounts import GOOD, HOST, browser, person, signed_in, store_of

from threequarter.store.accounts import audit, rate_limit
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.second_factor import SecondFactor
from threequarter.store.store import Store
from threequarter.web.app import make_app

pytestmark = pytest.mark.slow

NOON = datetime.datetime(2026, 11, 26, 12, tzinfo=datetime.UTC)
HALF = "threequarter_second"


@pytest.fixture
def app(tmp_path: Path, database_url: str | None) -> Iterator[Any]:
    made = make_app(tmp_path, frozenset({HOST}))
    yield made
    store_of(made).close()


@pytest.fixture
def clock() -> Iterator[time_machine.Traveller]:
    with time_machine.travel(NOON, tick=False) as traveller:
        yield traveller


def secret_on(page: str) -> str:
    """The secret that the page shows to be typed by hand."""
    found = re.search(r'<code class="secret"[^>]*>([A-Z2-7 ]+)</code>', page)
    assert found
    return found[1].replace(" ", "")


def shown_by_app(secret: str, seconds: float = 0) -> str:
    """What an authenticator app shows, so many seconds from now: computed from the secret alone."""
    now = datetime.datetime.now(datetime.UTC).timestamp() + seconds
    return TOTP(base64.b32decode(secret), 6, SHA1(), 30).generate(int(now)).decode()


def switched_on(client: TestClient) -> tuple[str, list[str]]:
    """The secret, and the recovery codes."""
    assert client.post("/account/second-step/begin").headers["location"] == "/account/second-step"
    secret = secret_on(client.get("/account/second-step").text)
    done = client.post("/account/second-step", data={"code": shown_by_app(secret)})
    assert done.status_code == 200, done.text
    return secret, re.findall(r"<code>([A-Z2-9-]{29})</code>", done.text)


def half(app: Any, password: str = GOOD) -> TestClient:
    """A browser whose password was right."""
    client = browser(app)
    answer = client.post("/sign-in", data={"name": "Kim Fescue", "password": password, "back": "/players"})
    assert answer.headers["location"] == "/sign-in/second?back=%2Fplayers"
    return client


def second(client: TestClient, code: str) -> Any:
    return client.post("/sign-in/second", data={"code": code, "back": "/players"})


def test_it_is_on_only_after_a_right_code_and_then_asked_for_at_every_sign_in(
    app: Any, clock: time_machine.Traveller
) -> None:
    account = person(app)
    client, other = signed_in(app), signed_in(app)
    assert "Switch it on" in client.get("/account").text
    client.post("/account/second-step/begin")
    page = client.get("/account/second-step").text
    secret = secret_on(page)
    assert len(base64.b32decode(secret)) == 20
    assert f"otpauth://totp/threequarter:kim%20fescue?digits=6&amp;secret={secret}" in page
    assert "<svg" in page
    assert client.post("/account/second-step", data={"code": "000000"}).status_code == 400
    assert not SecondFactor(store_of(app)).state(account).on
    assert signed_in(app).get("/account").status_code == 200  # by the password alone
    done = client.post("/account/second-step", data={"code": shown_by_app(secret)})
    assert done.headers["cache-control"] == "no-store"
    assert len(set(re.findall(r"<code>([A-Z2-9-]{29})</code>", done.text))) == 10
    assert other.get("/account").status_code == 401  # every other browser was signed out
    assert client.get("/account").status_code == 200
    assert secret not in client.get("/account/second-step").text
    clock.shift(30)
    waiting = half(app)
    assert second(waiting, shown_by_app(secret)).headers["location"] == "/players"
    assert waiting.get("/account").status_code == 200


def test_half_signed_in_opens_nothing_and_ends_after_ten_minutes(app: Any, clock: time_machine.Traveller) -> None:
    person(app)
    secret, _codes = switched_on(signed_in(app))
    client = half(app)
    cookie = client.cookies[HALF]
    for path in ("/", "/players", "/account", "/account/second-step", "/api/players"):
        assert client.get(path).status_code == 401, path
    assert client.post("/account/second-step/off", data={"code": "1"}).status_code == 401
    taken_over = browser(app)
    taken_over.cookies.set("threequarter_account", cookie)  # the secret of the one is none of the other
    assert taken_over.get("/account").status_code == 401
    with store_of(app).reading() as session:
        assert cookie not in str(session.execute(text("SELECT * FROM half_sign_in")).all())
    clock.shift(601)
    assert second(client, shown_by_app(secret)).headers["location"] == "/sign-in?late=1&back=%2Fplayers"
    assert browser(app).get("/sign-in/second").headers["location"] == "/sign-in?late=1&back=%2F"
    assert client.get("/account").status_code == 401


def test_the_cookie_between_the_steps_is_for_this_server_alone(app: Any, clock: time_machine.Traveller) -> None:
    person(app)
    switched_on(signed_in(app))
    for scheme, begins in (("http", f"{HALF}="), ("https", f"__Host-{HALF}=")):
        told = browser(app, scheme).post("/sign-in", data={"name": "Kim Fescue", "password": GOOD})
        cookies = told.headers.get_list("set-cookie")
        assert len(cookies) == 1
        assert cookies[0].startswith(begins)
        for mark in ("HttpOnly", "SameSite=lax", "Path=/", "Max-Age=600"):
            assert mark in cookies[0]
        assert ("Secure" in cookies[0]) == (scheme == "https")


def test_a_code_is_taken_once_and_only_from_the_step_of_now_and_its_neighbours(
    app: Any, clock: time_machine.Traveller
) -> None:
    """RFC 6238, 5.2: one step back for the way, no code a second time."""
    person(app)
    secret, _codes = switched_on(signed_in(app))
    assert second(half(app), shown_by_app(secret)).status_code == 401  # it switched it on
    clock.shift(300)
    for seconds, status in ((-60, 401), (60, 401), (-30, 303), (-30, 401), (30, 303), (0, 401), (30, 401)):
        assert second(half(app), shown_by_app(secret, seconds)).status_code == status, seconds


def test_two_requests_with_one_code_at_the_same_time_sign_in_once(app: Any, clock: time_machine.Traveller) -> None:
    from concurrent.futures import ThreadPoolExecutor

    account, store = person(app), store_of(app)
    secret, codes = switched_on(signed_in(app))
    clock.shift(60)
    for code in (shown_by_app(secret), codes[0]):
        with ThreadPoolExecutor(4) as pool:
            taken = list(pool.map(lambda code: SecondFactor(store).check(account, code), [code] * 8))
        assert sum(how is not None for how in taken) == 1


def test_a_wrong_password_answers_as_before_whether_a_second_step_is_on_or_not(app: Any) -> None:
    person(app)
    person(app, "Ash Marram", "coach")
    switched_on(signed_in(app))
    answers = []
    for name in ("Kim Fescue", "Ash Marram", "Lee Nobody"):
        answer = browser(app).post("/sign-in", data={"name": name, "password": "not the password at all"})
        assert "set-cookie" not in answer.headers
        answers.append(
            (answer.status_code, re.sub(r'value="[^"]*"', "", answer.text).replace(answer.headers["x-request-id"], ""))
        )
    assert answers[0] == answers[1] == answers[2]
    assert answers[0][0] == 401


def test_guessing_codes_ends_after_five_and_a_recovery_code_still_opens(
    app: Any, clock: time_machine.Traveller
) -> None:
    account = person(app)
    secret, codes = switched_on(signed_in(app))
    clock.shift(60)
    wrong = f"{(int(shown_by_app(secret)) + 1) % 10**6:06}"
    assert [second(half(app), wrong).status_code for _ in range(7)] == [401] * 5 + [429] * 2
    assert second(half(app), shown_by_app(secret)).status_code == 429
    assert second(half(app), codes[3].lower().replace("-", " ")).status_code == 303
    assert rate_limit.tries(store_of(app), "second step", str(account)) == 0
    for _window in range(6):
        for _try in range(5):
            assert second(half(app), wrong).status_code in (401, 429)
        clock.shift(901)
    assert second(half(app), shown_by_app(secret)).status_code == 429  # thirty a day


def test_recovery_codes_work_once_and_new_ones_end_the_old(app: Any, clock: time_machine.Traveller) -> None:
    account, store = person(app), store_of(app)
    _secret, codes = switched_on(signed_in(app))
    with store.reading() as session:
        kept = str(session.execute(text("SELECT * FROM recovery_code")).all())
    assert all(code not in kept and code.replace("-", "") not in kept for code in codes)
    assert second(half(app), codes[0]).status_code == 303
    assert second(half(app), codes[0]).status_code == 401
    client = half(app)
    assert second(client, codes[1]).status_code == 303
    assert "8 recovery codes are left" in client.get("/account").text
    made = client.post("/account/second-step/codes", data={"code": codes[2]})
    fresh = re.findall(r"<code>([A-Z2-9-]{29})</code>", made.text)
    assert len(fresh) == 10
    assert second(half(app), codes[4]).status_code == 401
    assert second(half(app), fresh[4]).status_code == 303
    assert SecondFactor(store).state(account).codes_left == 9


def test_switching_it_off_needs_a_fresh_sign_in_and_a_code(app: Any, clock: time_machine.Traveller) -> None:
    account = person(app)
    client = signed_in(app)
    secret, codes = switched_on(client)
    assert client.post("/account/second-step/off", data={"code": "123"}).status_code == 400
    clock.shift(1801)
    assert client.post("/account/second-step/off", data={"code": shown_by_app(secret)}).status_code == 400
    assert client.post("/account/second-step/codes", data={"code": shown_by_app(secret)}).status_code == 400
    assert SecondFactor(store_of(app)).state(account).on
    back = half(app)
    assert second(back, codes[0]).status_code == 303
    off = back.post("/account/second-step/off", data={"code": shown_by_app(secret)})
    assert off.headers["location"] == "/account?second=off"
    assert client.get("/account").status_code == 401
    assert signed_in(app).get("/account").status_code == 200
    assert _left(store_of(app)) == [0, 0, 0]


def _left(store: Store) -> list[int]:
    with store.reading() as session:
        return [
            session.execute(text(f"SELECT count(*) FROM {table}")).scalar_one()
            for table in ("second_step", "recovery_code", "half_sign_in")
        ]


def test_changing_the_password_keeps_it_and_ends_who_is_between_the_steps(
    app: Any, clock: time_machine.Traveller
) -> None:
    person(app)
    client = signed_in(app)
    secret, _codes = switched_on(client)
    waiting = half(app)
    clock.shift(60)
    new = GOOD + "s"
    assert client.post("/account/password", data={"old": GOOD, "new": new, "again": new}).status_code == 303
    assert second(waiting, shown_by_app(secret)).headers["location"].startswith("/sign-in?late=1")
    assert second(half(app, new), shown_by_app(secret)).status_code == 303


def test_a_new_invitation_says_that_it_clears_it_and_does_so_when_it_is_taken(app: Any) -> None:
    person(app)
    coach = person(app, "Ash Marram", "coach")
    switched_on(signed_in(app, "Ash Marram"))
    head = signed_in(app)
    assert "signs in, with a second step" in head.get("/people").text
    made = head.post(f"/people/{coach}/invite", data={"replaces": "yes"}).text
    assert "switches off this account" in made
    found = re.search(r"/invitation/([\w-]+)", made)
    assert found
    assert SecondFactor(store_of(app)).state(coach).on  # not before it is taken
    taking = browser(app)
    assert "This switches off the account" in taking.get(f"/invitation/{found[1]}").text
    new = "three spoons of honey"
    taken = taking.post(f"/invitation/{found[1]}", data={"password": new, "again": new})
    assert taken.headers["location"] == "/account?new=1&second=gone"
    assert "was switched off with the new link" in taking.get(taken.headers["location"]).text
    assert _left(store_of(app)) == [0, 0, 0]
    assert signed_in(app, "Ash Marram", new).get("/account").status_code == 200


def test_a_head_can_demand_it_of_heads_and_coaches(app: Any) -> None:
    person(app)
    person(app, "Ash Marram", "coach")
    head, coach = signed_in(app), signed_in(app, "Ash Marram")
    assert head.post("/people/settings", data={"months": "12", "second_step": "sometimes"}).status_code == 400
    assert head.post("/people/settings", data={"months": "12", "second_step": "heads"}).status_code == 303
    assert coach.get("/", headers={"accept": "text/html"}).status_code == 200
    led = head.get("/people", headers={"accept": "text/html"})
    assert led.headers["location"] == "/account/second-step?demanded=1"
    assert "asks for a second step" in head.get(led.headers["location"]).text
    assert head.get("/api/sessions").status_code == 403
    switched_on(head)
    settings = {"months": "12", "second_step": "coaches"}
    assert head.post("/people/settings", data=settings).status_code == 303
    assert coach.get("/players", headers={"accept": "text/html"}).status_code == 303
    switched_on(coach)
    assert coach.get("/", headers={"accept": "text/html"}).status_code == 200


def test_an_account_that_ends_keeps_no_secret(app: Any) -> None:
    person(app)
    coach = person(app, "Ash Marram", "coach")
    switched_on(signed_in(app, "Ash Marram"))
    half_way = browser(app)
    half_way.post("/sign-in", data={"name": "Ash Marram", "password": GOOD})
    assert _left(store_of(app)) == [1, 10, 1]
    Accounts(store_of(app)).end(coach)
    assert _left(store_of(app)) == [0, 0, 0]
    assert second(half_way, "000000").headers["location"].startswith("/sign-in?late=1")


def test_the_record_says_on_off_failed_and_recovered_and_no_secret_leaves(
    app: Any, clock: time_machine.Traveller, caplog: pytest.LogCaptureFixture
) -> None:
    person(app)
    client = signed_in(app)
    caplog.set_level("DEBUG")
    secret, codes = switched_on(client)
    clock.shift(60)
    typed = "918273" if shown_by_app(secret) != "918273" else "918274"
    assert second(half(app), typed).status_code == 401
    again = half(app)
    assert second(again, codes[0]).status_code == 303
    assert again.post("/account/second-step/off", data={"code": codes[1]}).status_code == 303
    lines = audit.lines(store_of(app))
    said = [line.act for line in lines if line.who == "Kim Fescue"]
    for act in (
        "switched the second step on",
        "second step failed",
        "used a recovery code",
        "switched the second step off",
    ):
        assert act in said, act
    assert "password and recovery code" in [line.detail for line in lines if line.act == "signed in"]
    with store_of(app).reading() as session:
        kept = str(session.execute(text("SELECT * FROM audit")).all())
    for told in (kept, caplog.text):
        for one in (secret, typed, *codes):
            assert one not in told


def test_an_account_without_a_password_is_asked_for_nothing_more(app: Any) -> None:
    account, store = person(app), store_of(app)
    client = signed_in(app)
    with store.writing() as session:
        session.execute(text("UPDATE account SET password = NULL"))
    assert client.post("/account/second-step/begin", headers={"accept": "text/html"}).status_code == 400
    assert "Second step" not in client.get("/account").text
    assert SecondFactor(store).begun(account) is None
