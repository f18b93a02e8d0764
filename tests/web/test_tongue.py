"""Which language a page is answered in, and the way back after choosing one."""

import io
import re
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from threequarter.web.app import make_app
from threequarter.web.request_locale import asked_for

pytestmark = pytest.mark.slow

HOSTS = frozenset({"testserver"})


@pytest.mark.parametrize(
    ("accepted", "code"),
    [
        ("", "en"),
        ("de", "de"),
        ("de-CH,de;q=0.9,en;q=0.8", "de_CH"),
        ("en-US", "en_US"),
        ("de-Latn-DE", "de"),
        ("en-" + "x" * 999, "en"),
        ("fr, en;q=0.5, de;q=0.7", "de"),
        ("en-GB,en;q=0.9,de;q=0.8", "en_GB"),
        ("fr", "en"),
        ("de;q=0", "en"),
        ("de;q=x, en;q=0.1", "en"),
        (";;,,=", "en"),
    ],
)
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


@pytest.mark.parametrize(
    "back", ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example", "players", "javascript:x"]
)
def test_the_way_back_never_leads_to_another_site(tmp_path: Path, back: str) -> None:
    with TestClient(make_app(tmp_path, HOSTS)) as client:
        answer = client.post("/language", data={"code": "xx", "back": back}, follow_redirects=False)
        assert answer.headers["location"] == "/"
        assert "set-cookie" not in answer.headers


def with_demo(data: Path, accepted: str) -> TestClient:
    client = TestClient(make_app(data, HOSTS), headers={"accept-language": accepted})
    client.post("/demo", follow_redirects=False)
    client.post("/sessions/1/player", data={"name": "Wren Sedge"})
    return client


def test_weather_is_typed_and_said_in_the_units_usual_where_the_reader_is(tmp_path: Path) -> None:
    with with_demo(tmp_path, "en-US") as client:
        day = client.get("/sessions/1/day?temp=50&altitude=2000&wind=10&wind_from=ahead")
        assert "temp_c=10&altitude_m=609.6&wind_mps=4.4704" in str(day.url)
        assert "50 °F, 2000 ft up, wind 10 mph from ahead" in day.text
        assert "Temperature, °F" in day.text
        assert "head wind 15 mph" in day.text
        assert "20 °F colder" in day.text
        assert 'value="50"' in day.text
    with with_demo(tmp_path, "de") as client:
        address = str(day.url)[len("http://testserver") :]
        assert "10 °C, 2000 ft hoch, Wind 16 km/h von vorn" in client.get(address).text  # with carries in yards
        assert "10 °C, 609,6 m hoch, Wind 16 km/h von vorn" in client.get(f"{address}&unit=m").text


def test_what_is_typed_with_its_unit_is_understood_in_any(tmp_path: Path) -> None:
    with with_demo(tmp_path, "en") as client:
        assert "temp_c=10&" in str(client.get("/sessions/1/day?temp=50+°F&wind=10+mph").url)
        wrong = client.get("/sessions/1/day?temp=50+K")
        assert wrong.status_code == 400
        assert "The temperature: we do not know the unit of &#39;50 K&#39;. Write one of °C, °F." in wrong.text
        assert 'value="50 K"' in wrong.text
        assert "wind_mps=4.4704" in str(
            client.get("/sessions/1/shot?to=62&wind=10+mph&wind_from=ahead&trouble=short&trouble=left").url
        )


def test_kept_weather_stays_to_the_last_digit_where_a_field_is_not_touched(tmp_path: Path) -> None:
    with with_demo(tmp_path, "en-US") as client:
        client.post("/sessions/1/weather", data={"temp_c": "24.5", "altitude_m": "100"})
        page = client.post(
            "/sessions/1/weather", data={"temp": "76", "altitude": "328", "wind": "10", "wind_from": "left"}
        )
        assert "76 °F, 328 ft up, wind 10 mph from the left" in page.text
    with with_demo(tmp_path, "en") as client:
        assert "24.5 °C, 328 ft up, wind 4.4704 m/s from the left" in client.get("/sessions/1/day").text


def test_a_player_reads_in_own_units_and_the_card_speaks_their_language(tmp_path: Path) -> None:
    with with_demo(tmp_path, "en") as client:
        assert "In metres" in client.get("/sessions/1").text
        page = client.post(
            "/players/Wren Sedge/reads", data={"distance": "m", "speed": "kmh", "temperature": "F", "language": "de"}
        )
        assert '<option value="kmh" selected>' in page.text
        assert "In yards" in client.get("/sessions/1").text
        assert "Wind, km/h" in client.get("/sessions/1/day").text
        card = PdfReader(io.BytesIO(client.get("/sessions/1/card.pdf").content))
        assert "Meter" in "".join(one.extract_text() for one in card.pages)
        report = PdfReader(io.BytesIO(client.get("/sessions/1/report.pdf").content))
        assert "Nächste Woche" in "".join(one.extract_text() for one in report.pages)
        assert '<html lang="en">' in client.get("/sessions/1/report").text


def test_yards_or_metres_are_chosen_for_a_browser_and_no_player_is_changed(tmp_path: Path) -> None:
    with TestClient(make_app(tmp_path, HOSTS)) as client:
        assert '<option value="yd" selected>' in client.get("/lesson").text
        answer = client.post("/units", data={"unit": "m", "back": "/kept"}, follow_redirects=False)
        assert (answer.status_code, answer.headers["location"]) == (303, "/kept")
        assert '<option value="m" selected>' in client.get("/lesson").text
        assert re.search(r'value="m"\s+class="secondary"\s+aria-pressed="true"', client.get("/kept").text)
        client.post("/units", data={"unit": "furlongs"})
        assert '<option value="m" selected>' in client.get("/lesson").text
        away = client.post("/units", data={"unit": "yd", "back": "https://elsewhere.example/"}, follow_redirects=False)
        assert away.headers["location"] == "/"
        german = client.get("/lesson", headers={"accept-language": "de"})
        assert '<option value="yd" selected>' in german.text  # chosen goes before what the language is used to


def test_who_asked_first_sets_neither_the_decimal_mark_nor_the_units_of_the_next(tmp_path: Path) -> None:
    with TestClient(make_app(tmp_path, HOSTS)) as client:
        day = re.search(r"\d+$", str(client.post("/bucket", data={"player": "Mika Sedge"}).url))
        assert day
        ball = {"key": "one-00001", "club": "54", "swing": "waist", "carry": 40, "unit": "yd", "by": "device"}
        client.post(f"/api/sessions/{day[0]}/balls", json={"balls": [ball]})
        for code, mark, degrees in (("de", ",", "9"), ("en-US", ".", "48"), ("de", ",", "9")):
            headers = {"accept-language": code}
            keys = client.get(f"/bucket/{day[0]}", headers=headers).text
            assert re.search(r'data-key="\.">(.)<', keys)[1] == mark  # type: ignore[index]
            course = client.get("/players/Mika%20Sedge/course", headers=headers).text
            assert re.search(r'id="temp"[^>]*placeholder="(\d+)', course)[1] == degrees  # type: ignore[index]


@pytest.mark.parametrize(("code", "distance", "height"), [("en-US", "m", "m"), ("de", "yd", "ft"), ("de", "m", "m")])
def test_heights_are_read_and_typed_in_the_unit_that_goes_with_the_distances(
    code: str, distance: str, height: str, tmp_path: Path
) -> None:
    """Of the demo, whose balls are in yards: as the player chose, and as asked for in the address."""
    with with_demo(tmp_path, code) as client:
        client.post("/players/Robin Sedge/reads", data={"distance": distance})
        for address in ("/sessions/3/day", f"/sessions/3/day?unit={distance}"):
            page = client.get(address).text
            assert re.search(r'<label for="altitude">[^<]+, (\w+)<', page)[1] == height  # type: ignore[index]
            assert not re.search(rf"\d {'ft' if height == 'm' else 'm'}\b(?! up)", page)
        typed = {"unit": distance, "altitude": "100"}
        client.post("/sessions/3/weather", data=typed)
        assert f"100 {height}" in client.get("/sessions/3/day").text
        one = client.get("/sessions/3/one?club=SW 54&swing=waist").text
        assert re.search(rf"(?:Highest point|Höchster Punkt) \d+ {height}\b", one)
