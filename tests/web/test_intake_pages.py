"""Files on their way in: several at once, corrected by pointing at columns, previewed as kept, undone as one act."""

import html
import re
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from threequarter.intake.options import ReadOptions
from threequarter.intake.own_format.files import FORMS
from threequarter.intake.safe_reading import reading_from, reading_to
from threequarter.intake.tables.read import read_table
from threequarter.web.app import make_app
from threequarter.web.pages.intake.context import ROLES, UNITS, fields_of, options_of

pytestmark = pytest.mark.slow

TABLES = Path(__file__).parents[1] / "data" / "tables"
HOST = "127.0.0.1:8754"
UNKNOWN = (
    "Wer;Womit;Wie;Zahl A;Zahl B\nAda Fen;54;Hüfte;86,4;-2,1\nAda Fen;54;Hüfte;84,0;1,0\nIvo Quill;58;Brust;60,5;0,5\n"
)
PLAIN = "Club,Swing,Carry (yd),Offline (yd)\n50,waist,70.1,2\n50,waist,71.9,-3\n50,chest,none,0\n"


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    app = make_app(tmp_path, frozenset({HOST}))
    with TestClient(app, base_url=f"http://{HOST}", raise_server_exceptions=False) as made:
        yield made


def dropped(client: TestClient, *files: tuple[str, str | bytes]) -> Any:
    return client.post("/look", files=[("file", (name, content)) for name, content in files])


def fields(page: str, action: str) -> dict[str, str]:
    """The hidden fields of a form, as a browser sends them."""
    form = re.search(rf'<form[^>]*action="{action}".*?</form>', page, re.S)
    assert form, action
    found = re.findall(r'<input\s+type="hidden"\s+name="([^"]*)"\s+value="([^"]*)"', form[0])
    return {html.unescape(name): html.unescape(value) for name, value in found}


def balls_of(client: TestClient) -> list[dict[str, Any]]:
    return [row for row in client.get("/everything/balls.json").json()["rows"] if row["record"] == "ball"]


def test_a_table_of_unknown_words_is_read_by_pointing_and_remembered_by_shape(client: TestClient) -> None:
    first = dropped(client, ("x.csv", UNKNOWN))
    assert first.status_code == 200
    assert "Zahl A" in first.text
    assert "Which column is the carry" in first.text
    assert "Save these" not in first.text
    said = {
        "looked": "1",
        "unit": "m",
        "as-1": "player",
        "as-2": "club",
        "as-3": "swing",
        "as-4": "carry",
        "as-5": "offline",
    }
    page = client.get(first.url.path, params=said).text
    assert "86,4 → <strong>86.4 m</strong>" in page
    assert "-2,1 → <strong>2.1 m left</strong>" in page
    assert "Hüfte → <strong>Hüfte</strong>" in page
    kept = client.post(first.url.path.replace("/look/", "/keep/"), data=fields(page, r"/keep/\w+"))
    assert "Added: 3 balls" in kept.text
    assert [round(ball["carry_m"], 3) for ball in balls_of(client)] == [86.4, 84.0, 60.5]
    again = dropped(client, ("y.csv", UNKNOWN.replace("86,4", "88,8")))
    assert "88,8 → <strong>88.8 m</strong>" in again.text
    assert "Save these 3 balls" in again.text


def explained(client: TestClient) -> None:
    """A table whose swing stands under "Amount": said once, and kept."""
    first = dropped(client, ("x.csv", AMOUNTS))
    page = client.get(first.url.path, params={"looked": "1", "unit": "m", "as-2": "swing"}).text
    kept = client.post(first.url.path.replace("/look/", "/keep/"), data=fields(page, r"/keep/\w+"))
    assert len(balls_of(client)) == 6, kept.text


AMOUNTS = "Club;Amount;Carry\n54;a;40\n54;a;41\n54;a;42\n54;b;55\n54;b;56\n54;b;57\n"


def test_a_heading_that_was_explained_counts_in_other_tables_until_it_is_forgotten(client: TestClient) -> None:
    explained(client)
    other = AMOUNTS.replace("Club;Amount;Carry", "Wedge;Amount;Weite (m)")
    assert "headings as you explained them before: “Amount”" in dropped(client, ("y.csv", other)).text
    page = client.get("/bring-in").text
    assert "Headings you explained" in page
    gone = client.post("/headings/forget", data={"heading": "Amount"})
    assert "Headings you explained" not in gone.text
    assert "as you explained" not in dropped(client, ("z.csv", other)).text


def test_a_heading_that_was_explained_does_not_make_a_swing_of_what_is_none(client: TestClient) -> None:
    explained(client)
    other = "Club;Amount;Carry (m)\n" + "".join(f"54;{0.31 * i:.2f};{40 + i % 4}\n" for i in range(1, 30))
    page = dropped(client, ("y.csv", other)).text
    assert "Is the swing length in column" in page


def test_the_same_layout_in_another_unit_is_asked_about_again(client: TestClient) -> None:
    explained(client)
    again = dropped(client, ("y.csv", AMOUNTS.replace(";40", ";41"))).text
    assert "Save these" in again
    yards = AMOUNTS
    for metres in (40, 41, 42, 55, 56, 57):
        yards = yards.replace(f";{metres}\n", f";{metres / 0.9144:.1f}\n")
    page = dropped(client, ("z.csv", yards)).text
    assert "yards, metres or feet" in page
    assert "Save these" not in page


def test_a_column_is_ignored_and_another_unit_wins_over_the_heading(client: TestClient) -> None:
    where = dropped(client, ("x.csv", PLAIN)).url.path
    page = client.get(where, params={"looked": "1", "as-4": "ignore", "unit-3": "m"}).text
    assert "70.1 → <strong>70.1 m</strong>" in page or "70.1 → <strong>76.7 yd</strong>" in page
    client.post(where.replace("/look/", "/keep/"), data=fields(page, r"/keep/\w+"))
    assert [(ball["carry_m"], ball["offline_m"]) for ball in balls_of(client)] == [(70.1, None), (71.9, None)]


def test_a_row_is_pointed_at_as_no_ball_with_all_like_it_and_what_that_changes_is_shown(client: TestClient) -> None:
    rows = "50,waist,70.1,\n50,waist,71.9,thin top\n50,waist,30.2,thin top\n50,chest,90,\n"
    first = dropped(client, ("x.csv", "Club,Swing,Carry (yd),Note\n" + rows))
    assert "What your corrections change" not in first.text
    address = html.unescape(re.findall(r'href="(\?[^"]*)"[^>]*>\s*all 2 “thin top”', first.text)[0])
    page = client.get(first.url.path + address)
    assert "What your corrections change" in page.text
    assert "no ball, as you said" in page.text
    kept = client.post(first.url.path.replace("/look/", "/keep/"), data=fields(page.text, r"/keep/\w+"))
    assert kept.status_code == 200
    assert len(balls_of(client)) == 2
    again = dropped(client, ("y.csv", "Club,Swing,Carry (yd),Note\n" + rows.replace("70.1", "72.2")))
    assert "4 balls from" in again.text.replace("\n", " ")  # which rows were no balls is not remembered for other files


@pytest.mark.parametrize(
    "said",
    [
        {"as-1": "carry", "as-2": "carry"},
        {"as-1": "nonsense"},
        {"as-x": "carry"},
        {"unit-1": "leagues"},
        {"unit": "x"},
        {"col-nose": "1"},
        {"as-99": "carry"},
    ],
)
def test_what_cannot_be_said_of_columns_is_told_on_the_page(client: TestClient, said: dict[str, str]) -> None:
    where = dropped(client, ("x.csv", PLAIN)).url.path
    answer = client.get(where, params=said)
    assert answer.status_code == 422
    assert 'class="problem"' in answer.text
    assert client.get(where, params=said, headers={"hx-request": "true"}).status_code == 200


def test_several_files_are_kept_by_one_press_and_taken_back_by_one(client: TestClient) -> None:
    page = dropped(
        client, ("a.csv", PLAIN), ("b.csv", PLAIN.replace("70.1", "60.1")), ("c.csv", UNKNOWN), ("d.csv", "x")
    )
    assert page.status_code == 200
    assert page.text.count('name="file"') == 2
    assert "70.1 → <strong>70.1 yd</strong>" in page.text
    assert "2 balls" in page.text
    assert "1 row left out" in page.text
    key = page.url.path.rsplit("/", 1)[1]
    chosen = re.findall(r'name="file" value="(\w+)"', page.text)
    pointed = re.findall(r'href="(/look/\w+\?together=\w+)"', page.text)[2]
    said = {
        "looked": "1",
        "unit": "m",
        "as-1": "player",
        "as-2": "club",
        "as-3": "swing",
        "as-4": "carry",
        "as-5": "offline",
        "together": key,
    }
    corrected = client.get(pointed.split("?")[0], params=said)
    action = pointed.split("?")[0] + "/remember"
    back = client.post(action, data=fields(corrected.text, action))
    assert back.url.path == page.url.path
    assert back.text.count('name="file"') == 3
    chosen = re.findall(r'name="file" value="(\w+)"', back.text)
    kept = client.post(f"/keep-all/{key}", data={"file": chosen, "whose": "Wren Sedge"})
    assert "Added: 7 balls" in kept.text
    assert {ball["player"] for ball in balls_of(client)} == {"Wren Sedge", "Ada Fen", "Ivo Quill"}
    undo = re.search(r'action="(/batches/\w+/undo)"', kept.text)
    assert undo
    gone = client.post(undo[1])
    assert balls_of(client) == []
    redo = re.search(r'action="(/batches/\w+/redo)"', gone.text)
    assert redo
    client.post(redo[1])
    assert len(balls_of(client)) == 7
    assert "You chose no file" in client.post(f"/keep-all/{key}", data={}).text


@pytest.mark.parametrize("form", FORMS)
def test_what_went_out_by_a_link_comes_in_by_the_page(client: TestClient, form: str, tmp_path: Path) -> None:
    dropped(client, ("x.csv", PLAIN))
    where = dropped(client, ("x.csv", PLAIN)).url.path
    client.post(where.replace("/look/", "/keep/"), data={"whose": "Wren Sedge"})
    before = balls_of(client)
    for link in (f"/everything/balls.{form}", f"/players/Wren Sedge/balls.{form}", f"/sessions/1/balls.{form}"):
        answer = client.get(link)
        assert answer.status_code == 200
        assert "attachment" in answer.headers["content-disposition"]
        page = dropped(client, (f"all.{form}", answer.content))
        assert "nothing was changed" in page.text
        other = TestClient(make_app(tmp_path / form / link.split("/")[1], frozenset({HOST})), base_url=f"http://{HOST}")
        looked = dropped(other, (f"all.{form}", answer.content))
        assert "2 new balls" in looked.text
        assert "Added: 2 balls" in other.post(looked.url.path.replace("/look/", "/keep/")).text
        assert balls_of(other) == before
    assert client.get("/everything/balls.exe").status_code == 422
    assert client.get("/players/Nobody/balls.csv").status_code == 404
    out = client.get("/everything/export.json").content
    assert "nothing was changed" in dropped(client, ("all.json", out)).text


def test_the_ways_out_page_lists_every_column(client: TestClient) -> None:
    page = client.get("/ways-out").text
    assert "carry_m" in page
    assert "/everything/balls.parquet" in page


def test_json_that_is_no_export_and_endless_json_are_told(client: TestClient) -> None:
    for content in ('{"a": 1}', "{", '{"format": "threequarter export 1", "tables": {"nose": []}}', '{"a":' * 100_000):
        answer = dropped(client, ("x.json", content))
        assert answer.status_code == 422
        assert 'class="problem"' in answer.text


ROLE = st.sampled_from(["", "ignore", *ROLES])


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.sampled_from(sorted(p for p in TABLES.iterdir() if p.suffix in (".csv", ".txt"))),
    st.dictionaries(st.integers(1, 9), ROLE, max_size=4),
    st.sampled_from(["", "yd", "m", "ft"]),
    st.sampled_from(["", ".", ","]),
    st.dictionaries(st.integers(1, 9), st.sampled_from(UNITS["offline"]), max_size=2),
)
@pytest.mark.slow
def test_what_the_preview_shows_is_what_is_kept(
    path: Path, said: dict[int, str], unit: str, decimal: str, units: dict[int, str]
) -> None:
    chosen = {f"as-{at}": role for at, role in said.items()} | {f"unit-{at}": one for at, one in units.items()}
    chosen |= {"looked": "1", "unit": unit, "decimal": decimal}
    with (
        tempfile.TemporaryDirectory() as folder,
        TestClient(
            make_app(Path(folder), frozenset({HOST})), base_url=f"http://{HOST}", raise_server_exceptions=False
        ) as client,
    ):
        where = dropped(client, (path.name, path.read_bytes())).url.path
        preview = client.get(where, params=chosen)
        assert preview.status_code in (200, 422)
        shown = re.search(r'<p\s+class="lead">(\d+) balls?', preview.text)
        if f'action="{where.replace("/look/", "/keep/")}"' not in preview.text:
            return
        assert shown
        kept = client.post(where.replace("/look/", "/keep/"), data=fields(preview.text, r"/keep/\w+"))
        assert kept.status_code == 200
        balls = balls_of(client)
        assert len(balls) == int(shown[1])
        reading = read_table(path.read_bytes(), path.name, options_of(chosen))
        assert sorted(ball.distance_m for ball in reading.balls) == sorted(b["carry_m"] or b["rest_m"] for b in balls)


def test_options_go_through_a_form_and_a_reading_through_a_child_unchanged() -> None:
    options = ReadOptions(
        unit="m",
        decimal=",",
        columns={"carry": "Weite", "club": "2"},
        ignore=("3",),
        units={"1": "ft"},
        no_balls=("!2.3",),
    )
    assert options_of(fields_of(options)) == options
    assert ReadOptions.from_json(options.to_json()) == options
    for path in TABLES.iterdir():
        if path.suffix in (".csv", ".txt"):
            reading = read_table(path.read_bytes(), path.name)
            assert reading_from(reading_to(reading)) == reading
