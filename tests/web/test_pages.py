"""The pages without a browser: a real app over a real database, every road and every refusal."""

import io
import json
import re
import socket
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from starlette.testclient import TestClient
from tests.task_support import have_tasks_done

from threequarter.answers.chart import chart_answer
from threequarter.app.charts_ahead import ComputingError
from threequarter.chart.fit import fit_chart
from threequarter.demo import BUCKET
from threequarter.intake.load import carries
from threequarter.intake.options import ReadOptions
from threequarter.intake.tables.read import read_table
from threequarter.practice.clinic import rotation
from threequarter.web.app import make_app
from threequarter.web.pages.lesson import homework as lesson_homework
from threequarter.web.security.request_guard import MAX_BODY
from web_support import inner_of

pytestmark = [pytest.mark.slow, pytest.mark.usefixtures("either_database")]

TABLES = Path(__file__).parents[1] / "data" / "tables"
HOST = "127.0.0.1:8754"


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    app = make_app(tmp_path, frozenset({HOST, "localhost:8754"}))
    with TestClient(app, base_url=f"http://{HOST}", raise_server_exceptions=False) as made:
        yield made


def demo(client: TestClient) -> str:
    """Keeps the demo and returns the address of its first day, without the player's page that it leads to."""
    answer = client.post("/demo", follow_redirects=False)
    assert answer.headers["location"] == "/players/Robin%20Sedge"
    return "/sessions/1"


def looked(client: TestClient, name: str) -> str:
    """The address of the preview of an open table."""
    path = next(path for path in TABLES.glob(f"{name}.*") if path.suffix != ".json")
    answer = client.post("/look", files={"file": (path.name, path.read_bytes())}, follow_redirects=False)
    assert answer.status_code == 303
    return str(answer.headers["location"])


def test_an_empty_today_offers_three_ways_to_begin_and_the_demo(client: TestClient) -> None:
    page = client.get("/").text
    for way in ('href="/lesson"', 'href="/bucket"', 'href="/clinic"', "Ten balls are a start", "Open the demo"):
        assert way in page
    for later in (">Now<", "Due a recheck", "Latest players"):
        assert later not in page


def test_today_shows_what_runs_and_whose_yards_came_in_last(client: TestClient) -> None:
    lesson = str(client.post("/lesson", data={"player": "Wren Sedge"}).url)
    client.post(f"{lesson}/balls", data={"text": "54 waist 41 43 42 44 40"})
    client.post("/clinic", data={"names": "Ida\nMax", "clubs": "50", "swings": "waist"})
    client.post("/demo", follow_redirects=False)
    page = client.get("/").text
    assert "Wren Sedge is having a lesson" in page
    advice = client.get(lesson.removesuffix("lesson") + "chart.json").json()["next"]
    assert ("Hit next" in page) == (not advice["stop"])
    assert 'href="/clinics/1"' in page
    assert "Open the demo" not in page
    assert page.index(">Now<") < page.index(">Start<") < page.index("Due a recheck") < page.index("Latest players")
    assert page.count('class="solid"') == 0  # the way back to the lesson is the one solid button
    yards = client.get("/players/Robin Sedge/yards").text
    assert "34–98 yd" in yards
    assert len(re.findall('class="w[2-4]"', yards)) == 12  # 50, 54 and 60, each with a line of its own
    assert client.get("/players/Max/yards").text == ""
    assert client.get("/players/Nobody/yards").status_code == 404


def test_the_demo_ends_on_the_standing_chart_of_three_days_that_says_it_is_invented(client: TestClient) -> None:
    page = client.post("/demo").text
    for part in ("invented", "<svg", "± ", "3 days, 18 Apr 2026 to 20 Jun 2026, range ball", "The chart still holds."):
        assert part in page
    assert ">Now<" not in client.get("/").text  # entered today, hit in spring
    days = client.get("/players/Robin Sedge/days").text
    for held_on in ("18 Apr 2026", "9 May 2026", "20 Jun 2026"):
        assert held_on in days
    assert "Quiet head, turn the chest through." in client.get("/sessions/2/lesson").text
    client.post("/demo", follow_redirects=False)
    assert "/sessions/4" not in client.get("/players/Robin Sedge/days").text  # once more adds nothing


def test_typed_balls_end_on_a_chart(client: TestClient) -> None:
    preview = client.post(
        "/type", data={"text": "54 waist 41 43 42 fat 30\n54 chest 52 54", "unit": "yd", "by": "device"}
    )
    assert "Save these 6 balls" in preview.text
    page = client.post(str(preview.url).replace("/look/", "/keep/"), data={}).text
    assert "54" in page
    assert "chest" in page


def test_a_table_is_looked_at_then_kept_exactly_as_shown(client: TestClient) -> None:
    address = looked(client, "t12")
    preview = client.get(address).text
    assert "carry in yards from column" in preview
    kept = client.post(address.replace("/look/", "/keep/"), data={}, follow_redirects=False)
    again = client.post(address.replace("/look/", "/keep/"), data={}, follow_redirects=False)
    assert "new-session" in kept.headers["location"]
    assert "nothing-new" in again.headers["location"]
    answer = client.get(re.sub(r"\?.*", "/chart.json", kept.headers["location"])).json()
    balls, unit, _ = carries(TABLES / "t12.txt", ReadOptions())
    assert answer["cells"] == json.loads(json.dumps(chart_answer(fit_chart(balls), unit)))["cells"]


def test_a_question_must_be_answered_before_keeping(client: TestClient) -> None:
    address = looked(client, "t10")
    assert "yards" in client.get(address).text
    refused = client.post(address.replace("/look/", "/keep/"), data={})
    assert refused.status_code == 400
    page = client.get(f"{address}?unit=yd").text
    assert "Save these 41 balls" in page
    assert 'name="unit" value="yd"' in page
    assert client.post(address.replace("/look/", "/keep/"), data={"unit": "yd"}).status_code == 200


def test_what_was_answered_is_remembered_for_a_file_that_looks_alike(client: TestClient) -> None:
    one = "Club,Swing,Carry\n54,waist,41\n54,waist,43\n"
    first = client.post("/look", data={"text": one})
    assert "yards, metres or feet" in first.text
    client.post(str(first.url).replace("/look/", "/keep/"), data={"unit": "m"})
    second = client.post("/look", data={"text": one + "54,chest,55\n"})
    assert "yards, metres or feet" not in second.text


def test_a_file_that_is_no_table_says_why(client: TestClient) -> None:
    answer = client.get(looked(client, "t15"))
    assert answer.status_code == 422
    assert "binary" in answer.text


def test_an_import_can_be_taken_back_and_brought_back(client: TestClient) -> None:
    demo(client)
    assert "This day has no balls left" in client.post("/imports/1/undo").text
    assert "<svg" in client.post("/imports/1/redo").text


def test_the_original_comes_back_byte_for_byte(client: TestClient) -> None:
    demo(client)
    answer = client.get("/imports/1/original")
    assert answer.content == BUCKET.read_bytes()
    assert "attachment" in answer.headers["content-disposition"]


def test_the_card_comes_in_three_sizes(client: TestClient) -> None:
    demo(client)
    for paper in ("pocket", "a4", "letter"):
        assert client.get(f"/sessions/1/card.pdf?paper={paper}").content.startswith(b"%PDF")


@pytest.mark.parametrize("path", ["/sessions/99", "/nothing", "/look/zzz", "/imports/9/original", "/sessions/x"])
def test_what_is_not_there_is_said_without_a_traceback(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code in (400, 404, 422)
    assert "Traceback" not in answer.text


@pytest.mark.parametrize("host", ["evil.test", "127.0.0.1", "127.0.0.1:1", "127.0.0.1:8754.", "localhost:8754@x", ""])
@pytest.mark.parametrize("path", ["/", "/static/app.css", "/health", "/sessions/1"])
def test_other_hosts_get_nothing(client: TestClient, host: str, path: str) -> None:
    assert client.get(path, headers={"host": host}).status_code == 400


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.test"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_writes_from_other_sites_are_refused(client: TestClient, headers: dict[str, str]) -> None:
    assert client.post("/demo", headers=headers).status_code == 403
    assert client.get("/").text.count("Robin Sedge</strong>") == 0


def test_every_answer_carries_the_strict_headers(client: TestClient) -> None:
    for path in ("/", "/static/app.js", "/nothing"):
        headers = client.get(path).headers
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"


def test_a_body_past_the_limit_is_refused(client: TestClient) -> None:
    assert client.post("/look", files={"file": ("big.csv", b"0" * (MAX_BODY + 1000))}).status_code == 413


def test_what_a_user_typed_is_never_markup(client: TestClient) -> None:
    text = "Player: <img src=x onerror=alert(1)>\nClub,Swing,Carry (yd),Note\n54,<b>waist</b>,41,<script>x</script>\n54,<b>waist</b>,42,\n"
    preview = client.post("/look", data={"text": text})
    page = client.post(str(preview.url).replace("/look/", "/keep/"), data={})
    for answer in (preview, page):
        assert "<img src=x" not in answer.text
        assert "<b>waist" not in answer.text
        assert "<script>x" not in answer.text


def test_nothing_leaves_the_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(self: socket.socket, address: Any) -> None:
        if self.family in (socket.AF_INET, socket.AF_INET6) and address[0] not in ("127.0.0.1", "::1"):
            raise AssertionError(f"something tried to reach {address}")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    app = make_app(tmp_path, frozenset({HOST}))
    with TestClient(app, base_url=f"http://{HOST}") as client:
        demo(client)
        page = client.get("/sessions/1").text
        client.get("/sessions/1/card.pdf")
    assert not re.findall(r'(?:src|href|action)="(?:https?:)?//', page)


def test_a_plan_says_balls_and_minutes_and_what_is_wrong(client: TestClient) -> None:
    page = client.get("/plan", params={"clubs": "52, 58", "swings": "waist, chest"}).text
    assert "minutes" in page
    assert "58 chest" in page
    refused = client.get("/plan", params={"clubs": "52", "swings": "waist", "spread": "soft"})
    assert refused.status_code == 400
    assert "The spread in percent: &#39;soft&#39; is not a number" in refused.text


def test_paces_are_told_in_the_players_own_step(client: TestClient) -> None:
    typed = {"text": "54 waist 50 51 52", "unit": "m", "by": "paces"}
    usual = client.post("/type", data=typed).text
    own = client.post("/type", data={**typed, "paces": "125", "over": "100"}).text
    assert "45.0" in usual
    assert "40.0" in own
    refused = client.post("/type", data={**typed, "paces": "12", "over": "100"})
    assert refused.status_code == 400
    assert "cannot be right" in refused.text


def test_another_day_shows_the_chart_before_and_after_and_prints_its_card(client: TestClient) -> None:
    page = demo(client)
    flights = client.get(f"{page}/day").text
    assert "true proportions" in flights
    assert "Weather on " in flights
    moved = client.get(
        f"{page}/day", params={"temp_c": "9", "wind_mps": "5", "wind_from": "left", "altitude_m": "600"}
    ).text
    assert "Before and after" in moved
    assert "right" in moved
    assert "4.3a" in moved
    card = client.get(f"{page}/day.pdf", params={"temp_c": "9", "wind_mps": "5", "wind_from": "left"})
    assert card.content.startswith(b"%PDF")
    refused = client.get(f"{page}/day", params={"temp_c": "warm"})
    assert refused.status_code == 400
    assert "The temperature" in refused.text


def test_the_weather_of_a_session_is_kept(client: TestClient) -> None:
    page = demo(client)
    told = {"temp_c": "24,5", "altitude_m": "100", "wind_mps": "0", "wind_from": ""}
    assert "24.5 °C, 328 ft up, no wind" in client.post(f"{page}/weather", data=told).text
    assert client.post(f"{page}/weather", data={"temp_c": "240"}).status_code == 400
    assert "24.5 °C" in client.get(f"{page}/day").text


def test_the_chart_is_used_on_the_page(client: TestClient) -> None:
    page = demo(client)
    shot = client.get(
        f"{page}/shot",
        params={"to": "62", "pin": "back", "ground": "firm", "wind_mps": "4", "wind_from": "left", "trouble": "short"},
    ).text
    assert "Expected strokes" in shot
    assert "4.3a" in shot
    assert client.get(f"{page}/shot", params={"to": "far"}).status_code == 400
    assert "Numbers in a gap" in client.get(f"{page}/wedges").text
    practice = client.get(f"{page}/practice", params={"seed": "3", "balls": "4"}).text
    called = re.findall(r'name="called-(\d+)" value="(\d+)"', practice)
    assert len(called) == 4
    done = client.post(
        f"{page}/practice",
        data={"unit": "yd"} | {f"called-{n}": v for n, v in called} | {f"ended-{n}": v for n, v in called},
    )
    assert "0.0" in done.text
    assert client.post(f"{page}/practice", data={"unit": "yd"}).status_code == 400
    card = client.get(f"{page}/round").text
    assert "By number" in card
    assert "strokes" not in card
    assert "The chart still holds." in client.get(f"{page}/recheck").text
    client.post(f"{page}/player", data={"name": "Wren Sedge"})
    assert "Wren Sedge has one day so far" in client.get(f"{page}/recheck").text


def test_the_page_to_take_home_and_the_roster(client: TestClient) -> None:
    page = demo(client)
    shown = client.get(f"{page}/report").text
    for part in ("Your distances", "What to work on", "Next week", "When to look again", "Robin Sedge"):
        assert part in shown
    pdf = client.get(f"{page}/report.pdf", params={"notes": "Hold the finish. #let x = 1"})
    assert pdf.content.startswith(b"%PDF")
    roster = client.get("/players").text
    assert "Robin Sedge" in roster
    assert "20 Jun 2026" in roster
    assert "due a recheck" in roster  # by the day the balls were hit, not the day they came in
    assert "Nobody has that name" in client.get("/players", params={"q": "zz"}).text
    kept = client.post(
        "/players/Robin Sedge/plan",
        data={
            "club": ["48", "52/10", "SW 56", ""],
            "loft": ["", "51,5", "", ""],
            "full": ["", "95", "", ""],
            "unit": "yd",
        },
    ).text
    assert all(f'value="{value}"' in kept for value in ("48", "52/10", "SW 56", "51.5", "95"))
    for bad in ({"loft": ["4"]}, {"full": ["1000"]}, {"loft": ["steep"]}):
        assert client.post("/players/Robin Sedge/plan", data={"club": ["48"], **bad}).status_code == 400
    assert client.post("/players/Robin Sedge/plan", data={"club": [str(n) for n in range(40, 60)]}).status_code == 400
    assert client.get("/players/Nobody").status_code == 404


def test_typed_balls_come_through_the_interface_once(client: TestClient) -> None:
    begun = client.post("/bucket", data={"player": "Wren Sedge", "clubs": "54, 58", "swings": "waist"})
    session = str(begun.url).rsplit("/", 1)[1].split("?")[0]
    batch = {
        "balls": [
            {"key": f"abcdefgh{i}", "club": "54", "swing": "waist", "carry": 40 + i, "unit": "yd"} for i in range(4)
        ]
    }
    for expected in ("saved", "known"):
        answer = client.post(f"/api/sessions/{session}/balls", json=batch).json()
        assert {outcome["state"] for outcome in answer["outcomes"]} == {expected}
    live = client.get(f"/api/sessions/{session}/live").json()
    assert live["balls"] == 4
    assert live["next"]
    assert client.post(f"/api/sessions/{session}/balls", json={"balls": "x"}).status_code == 422
    assert client.post("/api/sessions/999/balls", json=batch).status_code == 410
    assert client.post("/bucket", data={"player": " "}).status_code == 400
    assert "threequarter-" in client.get("/sw.js").text
    assert client.get("/manifest.webmanifest").json()["start_url"] == "/bucket"


def test_a_clip_needs_consent_and_a_kind_that_is_read(client: TestClient) -> None:
    assert "Where to stand the phone" in client.get("/clips/new").text
    asked = client.post("/clips/begin", data={"name": "a.mp4", "size": "10"})
    assert asked.status_code == 400
    assert "agreed" in asked.json()["detail"]
    refused = client.post("/clips/begin", data={"name": "a.exe", "size": "10", "agree": "yes"})
    assert "not a video" in refused.json()["detail"]
    clip = client.post("/clips/begin", data={"name": "a.mp4", "size": "10", "agree": "yes"}).json()["id"]
    assert client.put(f"/clips/{clip}/bytes?at=0", content=b"12345").json()["received"] == 5
    assert client.put(f"/clips/{clip}/bytes?at=0", content=b"12345").json()["received"] == 5
    gap = client.put(f"/clips/{clip}/bytes?at=8", content=b"90")
    assert (gap.status_code, gap.json()["received"]) == (409, 5)
    assert "of 0 MB have arrived" in client.get(f"/clips/{clip}").text
    client.post(f"/clips/{clip}/delete")
    assert client.get(f"/clips/{clip}").status_code == 404


def test_a_ball_is_set_aside_brought_back_and_mended_and_the_chart_follows(client: TestClient) -> None:
    preview = client.post("/type", data={"text": "54 waist 41 43 42 70 44", "unit": "yd", "by": "device"})
    page = str(client.post(str(preview.url).replace("/look/", "/keep/"), data={}).url).split("?")[0]
    ids = list(dict.fromkeys(int(i) for i in re.findall(r'href="\?ball=(\d+)&', client.get(page).text)))
    assert len(ids) == 5
    aside = client.post(f"{page}/balls/{ids[3]}/aside", data={"why": "hit the flag pole"}).text
    assert "hit the flag pole" in aside
    assert sum(cell["balls"] for cell in client.get(f"{page}/chart.json").json()["cells"]) == 4
    assert "hit the flag pole" not in client.post(f"{page}/balls/{ids[3]}/back").text
    client.post(f"{page}/balls/{ids[3]}/mend", data={"carry": "40,5", "unit": "yd", "strike": "heavy"})
    balls = client.get(f"{page}/balls.json").json()["rows"]
    assert balls[3]["carry_m"] == pytest.approx(40.5 * 0.9144)
    assert balls[3]["strike"] == "heavy"
    assert client.post(f"{page}/balls/{ids[3]}/mend", data={"carry": "1000"}).status_code == 400
    assert client.post(f"{page}/balls/99999/aside").status_code == 404


def test_the_table_that_goes_out_is_read_again_without_a_question(client: TestClient) -> None:
    page = demo(client)
    table = client.get(f"{page}/balls.csv")
    reading = read_table(table.content, "balls.csv")
    rows = client.get(f"{page}/balls.json").json()["rows"]
    balls = [row for row in rows if row["record"] == "ball"]
    assert reading.questions == ()
    assert len(reading.balls) == len(balls)
    for read, kept in zip(reading.balls, balls, strict=True):
        assert read.distance_m == kept["carry_m"]
        assert (read.club, read.swing, read.use) == (kept["club"], kept["swing"], kept["use"])


def test_a_formula_in_a_name_is_made_plain_on_the_way_out(client: TestClient) -> None:
    preview = client.post("/type", data={"text": "player: =1+1\n54 waist 41 43", "unit": "yd", "by": "device"})
    page = str(client.post(str(preview.url).replace("/look/", "/keep/"), data={}).url).split("?")[0]
    assert "'=1+1" in client.get(f"{page}/balls.csv").text


def test_a_clinic_has_a_rotation_a_wall_and_one_print(client: TestClient) -> None:
    names = "\n".join(["Ada", "Bo", "Cy", "Di", "Ed", "Fay", "Gus", "Hal"])
    wall = client.post("/clinic", data={"names": names, "clubs": "50, 56", "swings": "waist, chest", "balls": "5"})
    assert "Who starts where" in wall.text
    ids = re.findall(r"/bucket/(\d+)\?", wall.text)
    assert len(ids) == 8
    for n, session in enumerate(ids[:2]):
        batch = [
            {"key": f"clinic-{n}-{i:04d}", "club": "50", "swing": "waist", "carry": 30 + i, "unit": "yd"}
            for i in range(5)
        ]
        assert client.post(f"/api/sessions/{session}/balls", json={"balls": batch}).status_code == 200
    again = client.get(str(wall.url)).text
    assert "50 waist" in again
    way = re.search(r"/clinics/\d+", str(wall.url))
    assert way
    for place in ("/", f"/bucket/{ids[3]}", "/clinic"):  # the wall is found again from the first page and from the keys
        assert way[0] in client.get(place).text
    asked = client.post(f"{wall.url}/print")
    have_tasks_done(client)
    said = client.get(str(asked.url)).text
    assert "It is ready." in said
    printed = client.get(f"{asked.url}/file").content
    assert printed.startswith(b"%PDF")
    text = "".join(page.extract_text() for page in PdfReader(io.BytesIO(printed)).pages)
    assert "Ada" in text
    assert "Bo" in text
    twice = client.post("/clinic", data={"names": "Ada\nada", "clubs": "50", "swings": "waist"})
    assert twice.status_code == 400
    assert "same name" in twice.text


def test_an_archived_child_is_hidden_from_the_wall_and_comes_back(client: TestClient) -> None:
    wall = client.post("/clinic", data={"names": "Ada\nBo\nCy", "clubs": "50", "swings": "waist, chest"})
    assert wall.text.count('<li class="kid') == 3
    client.post("/players/Cy/archive")
    left = client.get(str(wall.url)).text
    assert left.count('<li class="kid') == 2
    assert "Cy" not in left
    assert "1 archived player is hidden." in left
    assert left.count('beside=1%2C2"') == 2
    client.post("/players/Cy/archive", data={"back": "1"})
    assert client.get(str(wall.url)).text.count('<li class="kid') == 3


def test_every_player_meets_every_station_once() -> None:
    clinic = rotation([f"child {i}" for i in range(8)], ["a", "b", "c", "d"], 6)
    for station in range(4):
        met = [name for turn in clinic.turns for name in turn.stations[station][1]]
        assert sorted(met) == sorted({f"child {i}" for i in range(8)})
    assert all(len(who) == 2 for turn in clinic.turns for _, who in turn.stations)


def test_a_player_s_page_keeps_notes_and_shows_the_carry_through_time(client: TestClient) -> None:
    for typed in ("41 43 42 41 42", "47 49 48 47 48"):
        preview = client.post("/type", data={"text": f"54 waist {typed}", "unit": "yd", "by": "device"})
        found = re.search(r'action="(/keep/[^"]+)"', preview.text)
        assert found
        kept_at = str(client.post(found[1], data={"whose": "Wren/Sedge"}).url)
        if typed.startswith("41"):
            client.post(f"{kept_at.partition('?')[0]}/weather", data={"held_on": "2026-04-18"})
    assert "Recheck" in client.get("/players/Wren%2FSedge").text
    days = client.get("/players/Wren%2FSedge/days").text
    assert "Carry through time" in days
    assert "(5), " in days
    kept = client.post("/players/Wren%2FSedge/notes", data={"text": "Rushes in <wind>"})
    assert "Rushes in &lt;wind&gt;" in kept.text
    assert "Rushes in" in client.get("/players?q=rushes").text
    gone = client.post("/notes/1/undo").text
    assert "The note is gone" in gone
    assert "Rushes in" not in gone
    assert "Rushes in" in client.post("/notes/1/redo").text
    assert client.post("/players/Wren%2FSedge/notes", data={"text": " "}).status_code == 400


def test_sessions_given_to_another_player_can_be_given_back(client: TestClient) -> None:
    demo(client)
    there = client.post("/players/Robin Sedge/give", data={"to": "R. Sedge"}).text
    assert "came here from Robin Sedge" in there
    found = re.search(r'name="sessions" value="([\d,]+)"', there)
    assert found
    back = client.post("/players/R. Sedge/give", data={"to": "Robin Sedge", "sessions": found[1]}).text
    assert "came here from R. Sedge" in back
    assert "Take R. Sedge off the roster" in client.get("/players/R. Sedge/about").text
    assert "R. Sedge" not in client.post("/players/R. Sedge/drop").text


def test_a_session_is_given_a_player_later(client: TestClient) -> None:
    preview = client.post("/type", data={"text": "54 waist 41 43 42", "unit": "yd", "by": "device"})
    found = re.search(r'action="(/keep/[^"]+)"', preview.text)
    assert found
    session = str(client.post(found[1], follow_redirects=False).headers["location"]).split("?")[0]
    assert ">Wren Sedge</h1>" in client.post(f"{session}/player", data={"name": " Wren  Sedge "}).text
    assert "3 balls in all" in client.get("/players/Wren Sedge").text
    assert ">Wren Sedge</h1>" not in client.post(f"{session}/player", data={"name": ""}).text


def test_a_table_of_several_players_is_shared_out_to_them(client: TestClient) -> None:
    table = b"Player,Club,Swing,Carry (yd)\nWren Sedge,54,waist,41\nwren  sedge,54,waist,43\nIvo Quill,54,waist,74\n"
    preview = client.post("/look", files={"file": ("lesson.csv", table)})
    assert "Wren Sedge 2 balls, Ivo Quill 1 ball" in preview.text
    assert "Save these 3 balls, split between 2" in preview.text
    found = re.search(r'action="(/keep/[^"]+)"', preview.text)
    assert found
    assert "Added: 3 balls, split between 2 days" in client.post(found[1]).text
    assert "Added: 0 balls, split between 2 days" in client.post(found[1]).text
    assert "2 balls in all" in client.get("/players/Wren Sedge").text
    assert "1 ball in all" in client.get("/players/Ivo Quill").text


def test_two_people_who_type_alike_in_one_minute_get_a_session_each(client: TestClient) -> None:
    for text in ("54 waist 41 42 43", "54 waist 42 43 44"):
        look = client.post("/type", data={"text": text, "unit": "yd", "by": "device"}, follow_redirects=False)
        key = look.headers["location"].split("/")[-1]
        client.post(f"/keep/{key}")
        client.post(f"/keep/{key}")  # pressed twice
    assert [info.balls for info in inner_of(client.app).state.store.sessions()] == [3, 3]  # type: ignore[attr-defined]


def test_a_lesson_opens_while_the_chart_of_its_homework_is_computed(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def computing(*_about: object) -> None:
        raise ComputingError("in a moment")

    lesson = str(client.post("/lesson", data={"player": "Wren Marsh"}).url).partition("?")[0]
    assert client.get(f"{lesson}/homework").text.strip() == ""
    monkeypatch.setattr(lesson_homework, "homework_asked", computing)
    for address in (lesson, f"{lesson}/homework"):
        answer = client.get(address)
        assert answer.status_code == 200
        assert re.search(r'hx-get="/sessions/\d+/lesson/homework"', answer.text)


def test_the_next_lesson_asks_for_the_homework_of_the_last_and_shows_what_became_of_it(client: TestClient) -> None:
    demo(client)
    page = client.get("/sessions/3/report").text
    marks = re.findall(r"(\d+) of 10 in the band", page)
    assert len(marks) == 3
    lesson = str(client.post("/lesson", data={"player": "Robin Sedge"}).url)
    begun = client.get(lesson).text
    assert "Homework\nof 20 Jun 2026:" in begun or "Homework of 20 Jun 2026:" in begun
    assert [int(mark) for mark in re.findall(r"target\s+(\d+)\s+of\s+10", begun)] == [int(mark) for mark in marks]
    refused = client.post(f"{lesson}/homework", data={"inside-0": "11"})
    assert refused.status_code == 400
    assert "how many of 10" in refused.text
    told = client.post(f"{lesson}/homework", data={"inside-0": "10", "inside-2": "0"}).text
    assert "SW 54 waist 10 of 10 inside;" in told
    assert f"SW 54 chest 0 of 10 inside; the target was {marks[2]}" in told
    assert 'name="inside-0"' not in told  # asked once
    assert client.post(f"{lesson}/homework", data={"inside-0": "1"}).status_code == 400


def test_one_line_takes_balls_or_words(client: TestClient) -> None:
    lesson = str(client.post("/lesson", data={"player": "Lena Vale", "unit": "yd"}).url)
    for line in ("Quiet head.", "54 waist 41 43 42 fat 30", "note: hold for 3 seconds", "54 waist plenty 4x"):
        client.post(f"{lesson}/line", data={"text": line})
    page = client.get(lesson).text
    assert [found for found in ("Quiet head.", "hold for 3 seconds") if found in page] == [
        "Quiet head.",
        "hold for 3 seconds",
    ]
    assert page.count("plenty") == 0
    day = lesson.removesuffix("lesson")
    assert len(client.get(f"{day}chart.json").json()["balls"]) == 4 or "4 balls" in page


def test_a_devices_table_joins_the_lesson_that_runs(client: TestClient) -> None:
    lesson = str(client.post("/lesson", data={"player": "Lena Vale", "unit": "yd"}).url)
    table = b"Club,Swing,Carry (yd)\n54,waist,41\n54,waist,43\n54,chest,52\n"
    for added in ("3 balls from the table are now in this day", "already here"):
        page = client.post(f"{lesson}/table", files={"file": ("device.csv", table)}).text
        assert added in page
    client.post(f"{lesson}/balls", data={"text": "54 waist 42 44"})
    day = lesson.split("/")[-2]
    assert client.get(f"/api/sessions/{day}/live").json()["balls"] == 5
    assert client.get("/players/Lena%20Vale").text.count('href="/sessions/') >= 1
    other = table.replace(b"Club,", b"Player,Club,").replace(b"54,", b"Ivo Reed,54,")
    assert "/look/" in str(client.post(f"{lesson}/table", files={"file": ("other.csv", other)}).url)


def test_a_day_is_put_right_joined_and_parted_on_its_page(client: TestClient) -> None:
    lesson = str(client.post("/lesson", data={"player": "Lena Vale", "unit": "yd"}).url)
    client.post(f"{lesson}/balls", data={"text": "54 waist 42 44 43"})
    day = lesson.rpartition("/")[0]
    assert "(date assumed)" in client.get(day).text
    told = {"held_on": "2026-04-18", "ball_kind": "range ball", "surface": "mat", "ground": "firm"}
    page = client.post(f"{day}/about", data=told).text
    assert "<h1>18 Apr 2026" in page
    assert "This day alone: 18 Apr 2026, range ball, from the mat" in client.get(day).text
    undo = re.search(r'action="(/history/day/\d+/back)"', page)
    assert undo
    assert "(date assumed)" in client.post(undo[1], data={"to": f"{day.partition('8754')[2]}/about"}).text
    balls = re.findall(r'name="ball" value="(\d+)"', client.get(f"{day}/about").text)
    parted = client.post(f"{day}/part", data={"ball": balls[:1], "held_on": "2026-05-02"})
    assert "<h1>2 May 2026" in parted.text
    other = re.search(r"/sessions/(\d+)/", str(parted.url))
    assert other
    joined = client.post(f"{day}/join", data={"other": other[1]})
    assert joined.status_code == 200
    assert str(client.get(f"/sessions/{other[1]}").url) == day
    assert client.post(f"{day}/about", data={"held_on": "18.4.26", "ground": "firm"}).status_code == 400
