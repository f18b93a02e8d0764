"""Signing in and out, invitations, guessing, links for others, the record: a real app over a real database, on both
kinds."""

import re
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text
from starlette.testclient import TestClient
from tests.saying import raises_saying

from threequarter.golf.errors import UserError
from threequarter.store.accounts import audit, passwords, rate_limit
from threequarter.store.accounts.accounts import Accounts
from threequarter.store.accounts.sign_ins import SignIns
from threequarter.store.accounts.tables import AccountRow
from threequarter.store.store import Store
from threequarter.web.app import make_app
from web_support import inner_of

pytestmark = pytest.mark.slow

HOST = "localhost:8754"
GOOD = "mossy gate under lantern"
COOKIE = "threequarter_account"


@pytest.fixture
def app(tmp_path: Path, database_url: str | None) -> Iterator[Any]:
    made = make_app(tmp_path, frozenset({HOST}))
    yield made
    store_of(made).close()


def store_of(app: Any) -> Store:
    store: Store = inner_of(app).state.store
    return store


def browser(app: Any, scheme: str = "http") -> TestClient:
    return TestClient(app, base_url=f"{scheme}://{HOST}", raise_server_exceptions=False, follow_redirects=False)


def person(app: Any, name: str = "Kim Fescue", role: str = "head", password: str = GOOD) -> int:
    """An account that can sign in."""
    people = Accounts(store_of(app))
    account = people.add(role, name)
    people.accept(people.invite(account), password)
    return account


def signed_in(app: Any, name: str = "Kim Fescue", password: str = GOOD) -> TestClient:
    client = browser(app)
    assert client.post("/sign-in", data={"name": name, "password": password}).status_code == 303
    return client


def test_without_an_account_nobody_signs_in_and_with_the_first_everybody_does(app: Any) -> None:
    stranger = browser(app)
    assert stranger.get("/").status_code == 200
    assert "No account yet" in stranger.get("/sign-in").text
    person(app)
    assert stranger.get("/", headers={"accept": "text/html"}).headers["location"] == "/sign-in"
    assert stranger.get("/api/players").status_code == 401
    back = stranger.get("/players?q=a", headers={"accept": "text/html"}).headers["location"]
    assert back == "/sign-in?back=%2Fplayers%3Fq%3Da"


def test_an_invitation_opens_once_and_a_second_one_ends_the_first(app: Any) -> None:
    people, client = Accounts(store_of(app)), browser(app)
    account = people.add("head", "Kim Fescue")
    old, fresh = people.invite(account), people.invite(account)
    wrong = client.get("/invitation/no-such-secret")
    assert client.get(f"/invitation/{old}").text.replace(old, "") == wrong.text.replace("no-such-secret", "")
    assert wrong.status_code == 404
    assert "Welcome, Kim Fescue" in client.get(f"/invitation/{fresh}").text
    assert client.post(f"/invitation/{fresh}", data={"password": "short", "again": "short"}).status_code == 400
    assert client.post(f"/invitation/{fresh}", data={"password": GOOD, "again": GOOD + "x"}).status_code == 400
    taken = client.post(f"/invitation/{fresh}", data={"password": GOOD, "again": GOOD})
    assert taken.headers["location"] == "/account?new=1"
    assert client.get("/account").status_code == 200
    assert browser(app).post(f"/invitation/{fresh}", data={"password": GOOD, "again": GOOD}).status_code == 404


@pytest.mark.real_hashes
def test_a_cookie_is_for_this_server_alone_and_new_at_each_sign_in(app: Any) -> None:
    person(app)
    client = browser(app)
    first = client.post("/sign-in", data={"name": "kim fescue", "password": GOOD}).headers["set-cookie"]
    again = client.post("/sign-in", data={"name": "KIM  Fescue", "password": GOOD}).headers["set-cookie"]
    assert first.startswith(f"{COOKIE}=")
    for mark in ("HttpOnly", "SameSite=lax", "Path=/"):
        assert mark in first
    assert first.split(";")[0] != again.split(";")[0]
    stolen = browser(app)
    stolen.cookies.set(COOKIE, first.split(";")[0].partition("=")[2])
    assert stolen.get("/account").status_code == 401  # the one before ended
    secure = browser(app, "https").post("/sign-in", data={"name": "Kim Fescue", "password": GOOD}).headers["set-cookie"]
    assert secure.startswith("__Host-threequarter_account=")
    assert "Secure" in secure
    assert "Domain" not in secure
    kept = store_of(app)
    with kept.reading() as session:
        everything = str(session.execute(text("SELECT * FROM sign_in")).all()) + str(
            session.execute(text("SELECT * FROM account")).all()
        )
    assert first.split(";")[0].partition("=")[2] not in everything
    assert GOOD not in everything
    assert "$argon2id$v=19$m=19456,t=2,p=1$" in everything


def test_from_another_machine_nobody_signs_in_without_https(app: Any) -> None:
    person(app)
    account = Accounts(store_of(app)).add("coach", "Ash Marram")
    link = f"/invitation/{Accounts(store_of(app)).invite(account)}"
    own = {"base_url": f"http://{HOST}", "raise_server_exceptions": False, "follow_redirects": False}
    far = TestClient(app, client=("192.0.2.7", 5000), **own)
    right = {"name": "Kim Fescue", "password": GOOD}
    answers = [
        far.get("/sign-in"),
        far.post("/sign-in", data=right),
        far.get(link),
        far.post(link, data={"password": GOOD, "again": GOOD}),
        far.get("/"),
    ]
    assert [one.status_code for one in answers] == [403] * 5
    assert "https" in answers[0].json()["detail"]
    assert all("set-cookie" not in one.headers for one in answers)
    inside = signed_in(app)
    far.cookies.set(COOKIE, inside.cookies[COOKIE])
    assert far.get("/account").status_code == 403  # a cookie that went over the network unsealed is worth nothing
    assert far.get("/trust").status_code == 200
    sealed = TestClient(app, client=("192.0.2.7", 5000), **own | {"base_url": f"https://{HOST}"})
    entered = sealed.post("/sign-in", data=right)
    assert entered.status_code == 303
    assert entered.headers["strict-transport-security"] == "max-age=31536000"
    assert "strict-transport-security" not in inside.get("/account").headers


def test_signing_out_changing_the_password_and_ending_the_account_kill_the_rest_at_once(app: Any) -> None:
    account = person(app)
    one, two, three = (signed_in(app) for _ in range(3))
    assert one.post("/sign-out").headers["location"] == "/sign-in?out=1"
    assert one.get("/account").status_code == 401
    assert (
        two.post("/account/password", data={"old": "wrong", "new": GOOD + "s", "again": GOOD + "s"}).status_code == 400
    )
    assert two.post("/account/password", data={"old": GOOD, "new": GOOD + "s", "again": GOOD + "s"}).status_code == 303
    assert three.get("/account").status_code == 401
    assert two.get("/account").status_code == 200
    assert two.post("/account/sign-out-everywhere").status_code == 303
    assert two.get("/account").status_code == 401
    person(app, "Ash Marram", "head")
    four = signed_in(app, "Kim Fescue", GOOD + "s")
    Accounts(store_of(app)).end(account)
    assert four.get("/account").status_code == 401
    assert browser(app).post("/sign-in", data={"name": "Kim Fescue", "password": GOOD + "s"}).status_code == 401


@pytest.mark.real_hashes
def test_an_unknown_name_and_a_wrong_password_answer_alike_and_take_as_long(app: Any) -> None:
    person(app)
    client = browser(app)
    client.post("/sign-in", data={"name": "warm up", "password": GOOD})
    bodies, took = {}, {"Kim Fescue": [], "Lee Nobody": []}  # type: ignore[var-annotated]
    for _ in range(4):
        for name in took:
            began = time.process_time()
            answer = client.post("/sign-in", data={"name": name, "password": "not the password at all"})
            took[name].append(time.process_time() - began)
            bodies[name] = (
                answer.status_code,
                re.sub(r'value="[^"]*"', "", answer.text).replace(answer.headers["x-request-id"], ""),
            )
    assert bodies["Kim Fescue"] == bodies["Lee Nobody"]
    assert bodies["Kim Fescue"][0] == 401
    known, unknown = (min(times) for times in took.values())
    assert 0.5 < known / unknown < 2  # processor time, one hash each; without the hash it would be a tenth


def test_guessing_ends_after_ten_tries_in_every_worker_and_over_a_restart(app: Any, tmp_path: Path) -> None:
    person(app)
    client, statuses = browser(app), []
    for number in range(14):
        statuses.append(
            client.post("/sign-in", data={"name": "Kim Fescue", "password": f"wrong guess {number}"}).status_code
        )
    assert statuses == [401] * 10 + [429] * 4
    other = make_app(tmp_path, frozenset({HOST}))  # another worker, or the same one after a restart
    assert browser(other).post("/sign-in", data={"name": "kim fescue", "password": GOOD}).status_code == 429
    assert rate_limit.tries(store_of(app), "name", "kim fescue") == 10
    store_of(other).close()


def test_whoever_guesses_locks_out_only_their_own_address(app: Any) -> None:
    person(app)
    guesser = TestClient(app, base_url=f"https://{HOST}", client=("192.0.2.7", 5), follow_redirects=False)
    for number in range(12):
        last = guesser.post("/sign-in", data={"name": "Kim Fescue", "password": f"wrong guess {number}"})
    assert last.status_code == 429
    assert signed_in(app).get("/account").status_code == 200
    assert guesser.post("/sign-in", data={"name": "Kim Fescue", "password": GOOD}).status_code == 429


def test_a_link_that_takes_over_is_asked_for_twice_told_and_can_be_taken_back(app: Any) -> None:
    person(app)
    coach = person(app, "Ash Marram", "coach")
    head, ash = signed_in(app), signed_in(app, "Ash Marram")
    asked = head.post(f"/people/{coach}/invite").text
    assert "Whoever opens it takes over the account" in asked
    assert "/invitation/" not in asked
    assert "made a new link to your account" not in ash.get("/").text
    made = head.post(f"/people/{coach}/invite", data={"replaces": "yes"}).text
    link = re.search(r"/invitation/[\w-]+", made)
    assert link
    assert "Kim Fescue made a new link to your account" in ash.get("/").text
    assert "made a new link to your account" not in head.get("/").text
    assert ash.post("/account/new-link/revoke").status_code == 303
    assert "made a new link to your account" not in ash.get("/").text
    assert browser(app).get(link[0]).status_code == 404
    record = head.get("/audit").text
    assert "made a link that takes over an account" in record
    assert "took back a link to their account" in record


@pytest.mark.parametrize(
    "bad",
    [
        "short",
        "password1234",
        "123456789012",
        "qwertyuiop12",
        "aaaaaaaaaaaaaa",
        "Kim Fescue 2026!",
        "P4ssw0rd!P4ssw0rd",
        "golfgolfgolf",
        "abcabcabcabc",
        "threequarter",
        "x" * 257,
    ],
)
def test_the_first_that_anybody_would_try_is_refused(bad: str) -> None:
    with pytest.raises(UserError):
        passwords.check(bad, "Kim Fescue", "kim")


@pytest.mark.parametrize(
    "good",
    [GOOD, "correct horse battery staple", "ÜberdenZaunspringen", "nine ducks swam past", "🦆🦆🦆 and the green river"],
)
def test_words_that_do_not_belong_together_are_taken_without_digits_or_marks(good: str) -> None:
    passwords.check(good, "Kim Fescue")


@pytest.mark.parametrize(
    "known",
    [
        "leavemealone",
        "LeaveMeAlone",
        "sonyericsson",
        "polniypizdec0211",
        "ghjcnjgfhjkm",
        "123qweasdzxc",
        "counterstrike",
        "iseedeadpeople",
        "q1w2e3r4t5y6u7",
    ],
)
def test_what_was_found_in_breaches_is_refused(known: str) -> None:
    """From the list of common passwords that zxcvbn 4.5 carries (MIT), those that no rule of ours refuses."""
    assert not passwords.common(known)
    with raises_saying(UserError, match="one of the first"):
        passwords.check(known)


def test_four_words_are_not_among_the_breached_however_they_are_put_together() -> None:
    from random import Random

    words = "mossy gate under lantern copper kettle walnut harbour seven otters silent meadow paper window tidal ferry bramble stove".split()
    chance = Random(6_2_12)
    for _ in range(500):
        for between in ("", " ", "-"):
            passwords.check(between.join(chance.sample(words, 4)))


@pytest.mark.real_hashes
def test_a_hash_of_other_costs_is_made_anew_at_the_next_sign_in(app: Any) -> None:
    from argon2 import PasswordHasher

    account, store = person(app), store_of(app)
    with store.writing() as session:
        session.get_one(AccountRow, account).password = PasswordHasher(
            time_cost=1, memory_cost=8192, parallelism=1
        ).hash(GOOD)
    assert SignIns(store).by_password("Kim Fescue", GOOD) == account
    with store.reading() as session:
        assert "m=19456,t=2,p=1" in str(session.get_one(AccountRow, account).password)


def test_a_sign_in_ends_after_idleness_and_after_a_month(app: Any) -> None:
    account, store = person(app), store_of(app)
    secret = SignIns(store).begin(account)
    assert SignIns(store).who(secret) is not None
    for column, sooner in (("seen_at", "2020-01-01"), ("ends_at", "2020-01-01")):
        fresh = SignIns(store).begin(account)
        with store.writing() as session:
            session.execute(text(f"UPDATE sign_in SET {column} = '{sooner}' WHERE id = (SELECT max(id) FROM sign_in)"))
        assert SignIns(store).who(fresh) is None


def test_the_way_back_leads_only_to_own_pages(app: Any) -> None:
    person(app)
    for back in ("https://evil.test/", "//evil.test", "/\\evil.test", "javascript:alert(1)"):
        answer = browser(app).post("/sign-in", data={"name": "Kim Fescue", "password": GOOD, "back": back})
        assert answer.headers["location"] == "/", back
    assert (
        browser(app)
        .post("/sign-in", data={"name": "Kim Fescue", "password": GOOD, "back": "/players?q=a"})
        .headers["location"]
        == "/players?q=a"
    )


def test_links_for_others_show_one_report_until_they_end_and_answer_alike_afterwards(app: Any) -> None:
    person(app)
    coach, stranger = signed_in(app), browser(app)
    assert coach.post("/demo").headers["location"] == "/players/Robin%20Sedge"
    number = 1
    made = coach.post(f"/sessions/{number}/share", data={"what": "report", "days": "7"}).text
    found = re.search(r'value="http://[^/]+/shared/([\w-]{22})"', made)
    assert found
    assert "Take-home page" in stranger.get(f"/shared/{found[1]}").text
    assert stranger.get(f"/shared/{found[1]}/report.pdf").content[:4] == b"%PDF"
    assert stranger.get(f"/shared/{found[1]}").headers["referrer-policy"] == "same-origin"
    assert stranger.get(f"/sessions/{number}/report", headers={"accept": "text/html"}).status_code == 303
    assert coach.post("/shares/1/revoke").status_code == 303
    ended, wrong = stranger.get(f"/shared/{found[1]}"), stranger.get("/shared/" + "A" * 22)
    assert (ended.status_code, plain(ended)) == (wrong.status_code, plain(wrong))
    assert ended.status_code == 404


def plain(answer: Any) -> str:
    return str(answer.text).replace(answer.headers["x-request-id"], "")


def test_the_record_names_who_did_what_and_never_a_secret(app: Any) -> None:
    person(app)
    browser(app).post("/sign-in", data={"name": "Kim Fescue", "password": "a wrong secret here"})
    client = signed_in(app)
    client.post("/people", data={"role": "coach", "name": "Ash Marram"})
    client.get("/people/99")
    client.post("/sign-out")
    said = [(line.who, line.act) for line in audit.lines(store_of(app))]
    for act in ("sign-in failed", "signed in", "made an account", "signed out"):
        assert ("Kim Fescue", act) in said, act
    with store_of(app).reading() as session:
        everything = str(session.execute(text("SELECT * FROM audit")).all())
    for secret in (GOOD, "a wrong secret here"):
        assert secret not in everything


def test_consent_is_dated_taken_back_and_asked_for_again(app: Any) -> None:
    person(app)
    coach = signed_in(app)
    assert coach.post("/demo").headers["location"] == "/players/Robin%20Sedge"
    number = 1
    coach.post(f"/sessions/{number}/player", data={"name": "Robin Sedge"})
    begin = {"name": "swing.mp4", "size": "100", "session": str(number)}
    assert coach.post("/clips/begin", data=begin).status_code == 400
    assert coach.post("/players/Robin%20Sedge/consent", data={"by_whom": "Pat Sedge, mother"}).status_code == 303
    first = coach.post("/clips/begin", data=begin)
    assert first.status_code == 200, first.text
    assert "Pat Sedge, mother agreed on" in coach.get("/players/Robin%20Sedge/consent").text
    assert coach.post("/players/Robin%20Sedge/consent/revoke").status_code == 303
    assert coach.post("/clips/begin", data=begin).status_code == 400
    page = coach.get("/players/Robin%20Sedge/consent").text
    assert "withdrawn on" in page
    assert "1 clip." in page
    assert coach.post("/players/Robin%20Sedge/films/delete", data={"sure": "yes"}).status_code == 303
    assert coach.get(f"/clips/{first.json()['id']}").status_code == 404


def test_a_person_takes_everything_along_but_no_way_in(app: Any) -> None:
    head, store = person(app), store_of(app)
    coach = signed_in(app)
    assert coach.post("/demo").headers["location"] == "/players/Robin%20Sedge"
    number = 1
    coach.post(f"/sessions/{number}/player", data={"name": "Robin Sedge"})
    coach.post(f"/sessions/{number}/share", data={"what": "report", "days": "7"})
    player = next(i for i, name in Accounts(store).rooms()[head] if name == "Robin Sedge")
    for role, name in (("player", "Robin"), ("guardian", "Pat Sedge")):
        account = Accounts(store).add(role, name, players=(player,))
        Accounts(store).accept(Accounts(store).invite(account), "three spoons of honey")
    taken = signed_in(app, "Robin", "three spoons of honey").get("/players/Robin%20Sedge/export.json")
    assert taken.status_code == 200
    tables = taken.json()["tables"]
    assert len(tables["ball"]) > 80
    assert [row["name"] for row in tables["account"]] == ["Robin"]
    assert len(tables["tie"]) == 1
    assert "argon2" not in taken.text
    assert tables["share"] == tables["invitation"] == tables["sign_in"] == []
