"""A number in an address that no database holds is nobody's id: told in words, never a fault of ours."""

import re
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from threequarter.web.app import make_app
from threequarter.web.security.policy import RULES

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
