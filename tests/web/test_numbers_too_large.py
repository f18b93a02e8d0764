"""A number in an address that no database holds is nobody's id: told in words, never a fault of ours."""

import re
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from tests.web.asked_of_rooms import NAMES, Asker, by_hand, places, with_value
from tests.web.two_rooms import two_rooms

from threequarter.web.app import make_app
from threequarter.web.security.policy import RULES, Level, allows

HOSTS = frozenset({"127.0.0.1:1"})


@pytest.mark.usefixtures("database_url")
@pytest.mark.parametrize("number", [-(10**25), 2**63])
def test_a_number_that_no_database_holds_is_refused_in_words(tmp_path: Path, number: int) -> None:
    app = make_app(tmp_path, HOSTS)
    asked, wrong = 0, []
    with TestClient(app, base_url="http://127.0.0.1:1", raise_server_exceptions=False) as client:
        for rule in RULES:
            method, _space, route = rule.partition(" ")
            path = re.sub(r"\{[a-z]+_id\}", str(number), route)
            if path == route or "{" in path:
                continue
            asked += 1
            answer = client.request(method, path, headers={"origin": "http://127.0.0.1:1"})
            if answer.status_code >= 500:
                wrong.append(f"{rule}: {answer.status_code}")
    assert asked > 40
    assert wrong == []


@pytest.mark.slow
@pytest.mark.parametrize("digits", ["\u00b3", "9" * 5000], ids=["superscript", "5000 digits"])
def test_digits_that_are_no_number_are_no_fault_in_any_field(tmp_path: Path, digits: str) -> None:
    with two_rooms(tmp_path) as rooms:
        asker, wrong = Asker(rooms), []
        for method, route in asker.description.routes:
            level = route.need.level
            if level in (Level.NEVER, Level.HEAD) or not allows(level, role="coach", coaches=True, script=False):
                continue
            sent = asker.description.sent(method, route)
            named = {*NAMES, *by_hand(route)}
            for place, way, _now in places(sent):
                if place in ("query", "form") and (way[-1] in named or way[-1].endswith("_s")):
                    answer = asker.ask("coach", method, route.path, with_value(sent, place, way, digits))
                    rooms.watched.put_back()
                    if answer.status_code >= 500:
                        wrong.append((method, route.path, way))
        assert wrong == []
        assert asker.asked > 100
