"""Which language a page is answered in, and the way back after choosing one."""

from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from threequarter.web.app import make_app
from threequarter.web.tongue import asked_for

HOSTS = frozenset({"testserver"})


@pytest.mark.parametrize(
    ("accepted", "code"),
    [("", "en"), ("de", "de"), ("de-CH,de;q=0.9,en;q=0.8", "de"), ("fr, en;q=0.5, de;q=0.7", "de"), ("en-GB,en;q=0.9,de;q=0.8", "en"),
     ("fr", "en"), ("de;q=0", "en"), ("de;q=x, en;q=0.1", "en"), (";;,,=", "en")],
)  # fmt: skip
def test_the_browser_is_answered_in_the_language_it_wants_most(accepted: str, code: str) -> None:
    assert asked_for(accepted) == code


def test_a_choice_in_the_footer_wins_and_leads_back_to_the_page(tmp_path: Path) -> None:
    with TestClient(make_app(tmp_path, HOSTS)) as client:
        assert '<html lang="en">' in client.get("/players?q=a").text
        assert '<html lang="de">' in client.get("/", headers={"accept-language": "de"}).text
        chosen = client.post("/language", data={"code": "de", "back": "/players?q=a"}, follow_redirects=False)
        assert chosen.status_code == 303
        assert chosen.headers["location"] == "/players?q=a"
        assert '<html lang="de">' in client.get("/", headers={"accept-language": "en"}).text


@pytest.mark.parametrize("back", ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example", "players", "javascript:x"])  # fmt: skip
def test_the_way_back_never_leads_to_another_site(tmp_path: Path, back: str) -> None:
    with TestClient(make_app(tmp_path, HOSTS)) as client:
        answer = client.post("/language", data={"code": "xx", "back": back}, follow_redirects=False)
        assert answer.headers["location"] == "/"
        assert "set-cookie" not in answer.headers
