"""Everything out as a table in four open forms, and in again: the same, without a question, and a second time nothing."""

import csv
import dataclasses
import datetime
import io
import json
import math
import tempfile
import tracemalloc
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.saying import raises_saying

from threequarter.golf.ball import MeasuredBy, Strike
from threequarter.golf.errors import UserError
from threequarter.intake.load import read_content
from threequarter.intake.options import ReadOptions
from threequarter.intake.own_format.columns import BY_NAME, COLUMNS, OwnRow, as_written, harmless
from threequarter.intake.own_format.files import FORMS, read_own, write_own
from threequarter.intake.tables.read import read_table
from threequarter.language import lines
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.exchange.export_json import export_all, import_all
from threequarter.store.exchange.export_table import own_rows
from threequarter.store.exchange.reimport import bring_back, redo_batch, undo_batch
from threequarter.store.people.roster import Roster
from threequarter.store.results import Club, Facts
from threequarter.store.store import Store

TABLE = (
    b"Player,Club,Swing,Carry (yd),Offline (yd),Note\nWren Sedge,54,waist,41.3,-2.1,=1+1\nWren Sedge,54,waist,43,1,\n"
    b"Ivo Quill,58,chest,44,,fat\nIvo Quill,58,chest,none,,\nIvo Quill,58,chest,45,,warm-up\n"
)


def filled(folder: Path) -> Store:
    store = Store(folder)
    store.keep_shared(read_content(TABLE, "t.csv", "table", ReadOptions()), TABLE, name="t.csv")
    bucket = PhoneBalls(store)
    typed = bucket.begin("Wren Sedge", "m")
    bucket.take(
        typed, [{"key": "phone-ball-1", "club": "54", "swing": "waist", "carry": 50, "unit": "m", "by": "laser"}]
    )
    roster = Roster(store)
    roster.set_bag("Wren Sedge", [Club(label="54", loft_deg=54.0, full_carry_m=90.1), Club(label="+60")])
    roster.note("Wren Sedge", "-the first line\nthe second")
    roster.add("Nobody Yet")
    store.set_facts(1, Facts(held_on=datetime.date(2026, 5, 31), where_held="@home", temp_c=9.5, wind_from_deg=90.0))
    first, second = store.kept_balls(1)
    store.leave_out(first.id, "a child spoke")
    store.edit_ball(second.id, dataclasses.replace(second.ball, distance_m=39.9999, strike=Strike.HEAVY))
    return store


def full(rows: Any) -> list[OwnRow]:
    return [{name: row.get(name) if row.get(name) != "" else None for name in BY_NAME} for row in rows]


@pytest.mark.parametrize("form", FORMS)
def test_every_form_comes_back_as_it_was_and_a_second_time_changes_nothing(form: Any, tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    file = tmp_path / f"all.{form}"
    rows = full(own_rows(store))
    assert write_own(own_rows(store), form, file) == len(rows) == 12
    again = read_own(file.read_bytes(), file.name)
    assert again == rows
    with Store(tmp_path / "b") as other:
        back = bring_back(other, again, name=file.name)
        assert (back.players, back.sessions, back.balls, back.changed, back.same) == (3, 3, 5, 0, 0)
        assert full(own_rows(other)) == [row | {"edited": False} if row["edited"] else row for row in rows]
        assert [other.session_balls(i) for i in (1, 2, 3)] == [store.session_balls(i) for i in (1, 2, 3)]
        assert [kept.left_out_why for kept in other.kept_balls(1)] == ["a child spoke", None]
        assert other.facts(1) == store.facts(1)
        assert Roster(other).bag("Wren Sedge") == Roster(store).bag("Wren Sedge")
        assert [note.text for note in Roster(other).notes("Wren Sedge")] == ["-the first line\nthe second"]
        before = export_all(other)
        assert bring_back(other, again, name=file.name).batch is None
        assert export_all(other) == before
    before = export_all(store)
    assert tuple(lines(bring_back(store, again, name=file.name).say())) == (
        "All of it is here already (5 balls); nothing was changed.",
    )
    assert export_all(store) == before


def test_what_was_typed_on_a_phone_and_the_file_it_came_from_are_known_again(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    with Store(tmp_path / "b") as other:
        bring_back(other, full(own_rows(store)), name="all.csv")
        sent = {"key": "phone-ball-1", "club": "54", "swing": "waist", "carry": 50, "unit": "m", "by": "laser"}
        assert [o.state for o in PhoneBalls(other).take(3, [sent])] == ["known"]
        ivo = ReadOptions(player="Ivo Quill")
        kept = other.keep_reading(read_content(TABLE, "t.csv", "table", ivo), TABLE, name="t.csv", options=ivo)
        assert (kept.what, kept.session_id) == ("nothing new", 2)


def test_a_table_mended_in_a_spreadsheet_counts_and_one_undo_takes_all_of_it_back(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    before = [store.session_balls(i) for i in (1, 2, 3)]
    rows = full(own_rows(store))
    rows[0] |= {"left_out_why": None, "use": True, "carry_m": 40.5}
    rows[3]["use"] = False
    rows.append(rows[1] | {"ball_key": None, "number": 9, "carry_m": 41.25})
    seen = bring_back(store, rows, name="mended.csv", dry=True)
    assert [store.session_balls(i) for i in (1, 2, 3)] == before
    back = bring_back(store, rows, name="mended.csv")
    assert (back.balls, back.changed, back.same) == (seen.balls, seen.changed, seen.same) == (1, 2, 3)
    assert [ball.distance_m for ball in store.session_balls(1)] == [40.5, 39.9999, 41.25]
    assert store.session_balls(1)[0].use
    assert not store.session_balls(2)[1].use or not store.session_balls(2)[0].use
    assert back.batch
    undo_batch(store, back.batch)
    assert [store.session_balls(i) for i in (1, 2, 3)] == before
    redo_batch(store, back.batch)
    assert len(store.session_balls(1)) == 3
    with raises_saying(UserError, match="Nothing to undo"):
        undo_batch(store, "x")


def test_one_player_and_one_session_hold_nothing_of_another(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    assert {row["player"] for row in own_rows(store, player="wren sedge")} == {"Wren Sedge"}
    assert {row["record"] for row in own_rows(store, player="Wren Sedge")} == {"ball", "player", "club", "note"}
    assert {row["session_key"] for row in own_rows(store, session_id=2) if row["record"] == "ball"} == {
        row["session_key"] for row in own_rows(store) if row["player"] == "Ivo Quill" and row["record"] == "ball"
    }
    with raises_saying(UserError, match="no player"):
        list(own_rows(store, player="Nobody"))
    with raises_saying(UserError, match="no day"):
        list(own_rows(store, session_id=99))


def test_an_own_table_is_charted_without_a_question(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    for form in FORMS:
        write_own(own_rows(store), form, tmp_path / f"all.{form}")
        reading = read_table((tmp_path / f"all.{form}").read_bytes(), f"all.{form}")
        assert not reading.questions
        assert [(b.player, b.distance_m, b.use) for b in reading.balls[:2]] == [
            ("Wren Sedge", 41.3 * 0.9144, False),
            ("Wren Sedge", 39.9999, True),
        ]


def test_no_cell_is_run_as_a_formula_and_negative_numbers_stay_numbers(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    write_own(own_rows(store), "csv", tmp_path / "a.csv")
    write_own(own_rows(store), "xlsx", tmp_path / "a.xlsx")
    table = list(csv.DictReader(io.StringIO((tmp_path / "a.csv").read_text("utf-8-sig"), newline="")))
    assert table[0]["note"] == "'=1+1"
    assert math.isclose(float(table[0]["offline_m"]), -2.1 * 0.9144)
    assert all(not cell.startswith(("=", "+", "@", "\t", "\r")) for row in table for cell in row.values())
    sheet = openpyxl.load_workbook(tmp_path / "a.xlsx")["balls"]
    heads = [cell.value for cell in sheet[1]]
    assert heads == [column.name for column in COLUMNS]
    cells = [cell for row in sheet.iter_rows() for cell in row]
    assert not any(cell.data_type == "f" for cell in cells)
    assert sheet.cell(2, heads.index("note") + 1).value == "=1+1"
    assert sheet.cell(2, heads.index("offline_m") + 1).data_type == "n"


@given(st.text())
def test_a_text_made_harmless_comes_back(text: str) -> None:
    safe = harmless(text)
    assert as_written(safe) == text
    assert not safe.startswith(("=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠"))


TEXTS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), min_size=1, max_size=30)
NUMBERS = st.floats(-400, 400, allow_nan=False)
BALLS = st.fixed_dictionaries(
    {
        "carry_m": st.floats(0.5, 250),
        "rest": st.booleans(),
        "club": TEXTS,
        "swing": TEXTS,
        "player_in_file": st.none() | TEXTS,
        "offline_m": st.none() | NUMBERS,
        "apex_m": st.none() | NUMBERS,
        "loft_deg": st.none() | st.floats(38, 70),
        "strike": st.none() | st.sampled_from([strike.value for strike in Strike]),
        "measured_by": st.sampled_from([by.value for by in MeasuredBy]),
        "note": st.none() | TEXTS,
        "left_out_why": st.none() | TEXTS,
        "marked": st.booleans(),
        "source_row": st.none() | st.integers(1, 9999),
        "source_sheet": st.none() | TEXTS,
        "made_at_utc": st.datetimes(datetime.datetime(1990, 1, 1), datetime.datetime(2090, 1, 1)),
        "held_on": st.none() | st.dates(datetime.date(1990, 1, 1)),
        "count": st.integers(1, 99),
    }
)


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(st.lists(BALLS, min_size=1, max_size=4), TEXTS)
@pytest.mark.slow
def test_any_balls_come_back_from_any_form(told: list[dict[str, Any]], player: str) -> None:
    rows = []
    for number, one in enumerate(told, start=1):
        row = dict.fromkeys(BY_NAME) | one | {"record": "ball", "number": number, "day": 1, "player": player}
        row["use"] = not row["marked"] and row["left_out_why"] is None
        row |= {
            "session_key": "s1",
            "ball_key": f"b{number}",
            "session": "t",
            "unit": "m",
            "ground": "normal",
            "edited": False,
        }
        row |= {"source_file": "t.csv", "held_on": told[0]["held_on"], "made_at_utc": told[0]["made_at_utc"]}
        if row.pop("rest"):
            row |= {"rest_m": row["carry_m"], "carry_m": None}
        rows.append(row)
    with tempfile.TemporaryDirectory() as folder:
        for form in FORMS:
            file = Path(folder, f"all.{form}")
            write_own(rows, form, file)
            assert read_own(file.read_bytes(), file.name) == rows, form
        with Store(Path(folder, "a")) as store:
            if not player.split():
                return
            bring_back(store, rows, name="all.csv")
            assert [row for row in full(own_rows(store)) if row["record"] == "ball"] == [
                row | {"player": " ".join(player.split())} for row in rows
            ]
            assert bring_back(store, rows, name="all.csv").batch is None


def test_a_damaged_own_table_is_refused_by_row_and_column(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    write_own(own_rows(store), "csv", tmp_path / "a.csv")
    good = (tmp_path / "a.csv").read_text("utf-8-sig")
    for old, new, says in (
        ("39.9999", "far", r"row 3, column carry_m: “far” is not a number"),
        ("39.9999", "1e308", "is not a number"),
        ("39.9999", "nan", "is not a number"),
        ("laser", "lazer", "measured_by must be one of"),
        ("\nball,", "\nbold,", "column record"),
        ("2026-05-31", "yesterday", "column held_on: “yesterday” is not a day"),
    ):
        assert old in good
        with raises_saying(UserError, match=says):
            bring_back(store, read_own(good.replace(old, new).encode(), "a.csv") or [], name="a.csv")
    for content in (
        b'{"format": "threequarter balls 1", "rows": [',
        b'{"format": "threequarter balls 1", "rows": [3]}',
        b'{"format": "threequarter balls 1", "rows": ' + b"[" * 100_000,
    ):
        with pytest.raises(UserError):
            read_own(content, "x.json")
    with raises_saying(UserError, match="appears twice"):
        bring_back(store, full(own_rows(store))[:1] * 2, name="a.csv")


def test_the_whole_export_goes_into_a_store_in_use(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    out = json.loads(json.dumps(export_all(store)))
    before = export_all(store)
    import_all(store, out)
    assert export_all(store) == before
    with Store(tmp_path / "b") as other:
        Roster(other).add("Ada Fen")
        assert import_all(other, out) == 5
        assert [other.session_balls(i) for i in (1, 2, 3)] == [store.session_balls(i) for i in (1, 2, 3)]
        assert other.original(1) == ("t.csv", TABLE)
        before = export_all(other)
        import_all(other, out)
        assert export_all(other) == before
    for broken in ({"session": [{"id": "x", "made_at": 3}]}, {"ball": [3]}, {"player": 5}):
        with Store(tmp_path / "c") as empty, pytest.raises(UserError):
            import_all(empty, {"format": out["format"], "tables": broken})


def test_tables_are_written_row_by_row(tmp_path: Path) -> None:
    store = filled(tmp_path / "a")
    row = next(iter(full(own_rows(store))))
    many = ({**row, "ball_key": f"b{i}"} for i in range(20_000))
    tracemalloc.start()
    assert write_own(many, "csv", tmp_path / "big.csv") == 20_000
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 2_000_000
