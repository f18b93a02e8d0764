"""What a file brings in: only what is new, and never less than what the preview showed."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from tests.saying import raises_saying
from tests.store.sheets import as_bytes, read

from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy, Place, Strike
from threequarter.golf.errors import UserError
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Question, Reading, SetAside
from threequarter.language import lines
from threequarter.store.history.history import History
from threequarter.store.people.roster import Roster
from threequarter.store.results import Club, Facts, Saved
from threequarter.store.store import Store

pytestmark = pytest.mark.usefixtures("either_database")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "data") as opened:
        yield opened


def keep(store: Store, metres: list[float], name: str = "range.csv", **more: object) -> Saved:
    return store.keep_reading(read(metres), as_bytes(metres), name=name, **more)  # type: ignore[arg-type]


def carries(store: Store, session_id: int = 1) -> list[float]:
    return [ball.distance_m for ball in store.session_balls(session_id)]


def test_a_session_read_today_is_there_tomorrow(tmp_path: Path) -> None:
    with Store.open(tmp_path) as today:
        keep(today, [50, 51, 52], player="Mona Applegarth")
    with Store.open(tmp_path) as tomorrow:
        (info,) = tomorrow.sessions()
        assert (info.player, info.balls, info.unit, info.title) == ("Mona Applegarth", 3, "m", "range.csv")
        assert carries(tomorrow, info.id) == [50, 51, 52]


def test_nothing_of_a_ball_is_lost(store: Store) -> None:
    ball = Ball(
        number=1,
        club="SW 54",
        swing="9:00",
        distance_m=47.0,
        loft_deg=54.0,
        player="Ada",
        day=2,
        measured_as=MeasuredAs.REST,
        measured_by=MeasuredBy.LASER,
        error_sd_m=0.5,
        rounding_m=1.0,
        offline_m=-2.0,
        total_m=50.0,
        club_speed_mps=20.0,
        ball_speed_mps=24.0,
        launch_deg=30.0,
        azimuth_deg=-1.0,
        backspin_rpm=7000.0,
        spin_axis_deg=2.0,
        apex_m=12.0,
        descent_deg=45.0,
        strike=Strike.HEAVY,
        use=False,
        count=10,
        note="über",
        place=Place(file="a.csv", sheet="S", row=7, col=2),
    )
    store.keep_reading(Reading(balls=(ball,), unit="m"), b"x", name="a.csv")
    assert store.session_balls(1) == (ball,)


def test_the_same_file_again_changes_nothing(store: Store) -> None:
    keep(store, [50, 51])
    again = keep(store, [50, 51])
    assert (again.what, again.added, again.import_id) == ("nothing new", 0, None)
    assert carries(store) == [50, 51]
    assert len(store.imports(1)) == 1


def test_nine_hundred_more_rows_are_added_and_only_those(store: Store) -> None:
    before = [40 + i % 7 for i in range(100)]  # full of equal rows
    after = before + [41 + i % 5 for i in range(900)]
    keep(store, before)
    kept = keep(store, after)
    assert (kept.what, kept.added, kept.changed) == ("rows added", 900, 0)
    assert carries(store) == after


def test_two_equal_rows_are_two_balls(store: Store) -> None:
    keep(store, [50, 50])
    assert keep(store, [50, 50, 50]).added == 1
    assert carries(store) == [50, 50, 50]


def test_rows_at_the_top_shift_the_others_but_double_none(store: Store) -> None:
    keep(store, [50, 51, 52, 53, 54])
    kept = keep(store, [47, 48, 50, 51, 52, 53, 54])
    assert (kept.added, kept.changed, kept.missing) == (2, 0, 0)
    assert carries(store) == [47, 48, 50, 51, 52, 53, 54]
    assert keep(store, [47, 48, 50, 51, 52, 53, 54]).what == "nothing new"
    assert keep(store, [47, 48, 50, 51, 52, 53, 54, 55]).added == 1


def test_a_corrected_row_replaces_its_ball_and_undo_brings_the_old_one_back(store: Store) -> None:
    keep(store, [50, 51, 52, 53])
    kept = keep(store, [50, 91, 52, 53])
    assert (kept.added, kept.changed) == (0, 1)
    assert any("reads differently now" in line for line in lines(kept.said))
    assert carries(store) == [50, 91, 52, 53]
    assert kept.import_id is not None
    store.undo_import(kept.import_id)
    assert carries(store) == [50, 51, 52, 53]


def test_the_same_bytes_read_another_way_replace_the_balls(store: Store) -> None:
    keep(store, [50, 51])
    kept = store.keep_reading(
        read([45.72, 46.63]), as_bytes([50, 51]), name="range.csv", options=ReadOptions(unit="yd")
    )
    assert (kept.added, kept.changed) == (0, 2)
    assert carries(store) == [45.72, 46.63]


def test_a_row_taken_out_of_the_file_stays_and_is_said(store: Store) -> None:
    keep(store, [50, 51, 52, 53, 54])
    kept = keep(store, [50, 51, 53, 54])
    assert (kept.what, kept.missing) == ("nothing new", 1)
    assert any("not in this one" in line for line in lines(kept.said))
    assert carries(store) == [50, 51, 52, 53, 54]


def test_a_renamed_copy_is_known_but_a_short_lookalike_is_not(store: Store) -> None:
    long = [50 + i / 10 for i in range(12)]
    keep(store, long)
    assert keep(store, [*long, 60], name="range (1).csv").added == 1
    keep(store, [40, 41], name="monday.csv")
    assert keep(store, [40, 41, 42], name="tuesday.csv").what == "new session"


def test_another_file_of_the_same_name_is_a_session_of_its_own(store: Store) -> None:
    keep(store, [50, 51, 52])
    assert keep(store, [70, 71, 72]).what == "new session"
    assert carries(store, 2) == [70, 71, 72]


def test_the_same_numbers_of_another_player_are_a_session_of_their_own(store: Store) -> None:
    keep(store, [50, 51], player="Ada Quill")
    assert keep(store, [50, 51], player="Bo Finch").what == "new session"
    assert keep(store, [50, 51], player="  ada  QUILL ").what == "nothing new"


def test_as_new_keeps_equal_balls_of_another_day(store: Store) -> None:
    keep(store, [50, 51])
    assert keep(store, [50, 51], as_new=True).what == "new session"
    assert len(store.sessions()) == 2


def test_balls_of_one_line_are_told_apart(store: Store) -> None:
    row = Place(row=1)
    balls = tuple(Ball(number=i, club="54", swing="waist", distance_m=50, place=row) for i in (1, 2, 3))
    store.keep_reading(Reading(balls=balls, unit="m"), b"54 waist 50 50 50", name="typed")
    assert carries(store) == [50, 50, 50]


def test_any_import_is_undone_alone_and_comes_back(store: Store) -> None:
    keep(store, [50, 51])
    second = keep(store, [50, 51, 52, 53]).import_id
    third = keep(store, [50, 51, 52, 53, 54]).import_id
    assert second
    assert third
    store.undo_import(second)
    assert carries(store) == [50, 51, 54]
    store.undo_import(1)
    assert carries(store) == [54]
    store.redo_import(1)
    store.redo_import(second)
    assert carries(store) == [50, 51, 52, 53, 54]


def test_reading_an_undone_file_again_brings_it_back(store: Store) -> None:
    keep(store, [50, 51])
    store.undo_import(1)
    assert store.sessions() == []
    kept = keep(store, [50, 51])
    assert (kept.what, kept.brought_back, kept.import_id) == ("brought back", 2, 1)
    assert carries(store) == [50, 51]


def test_the_preview_says_what_will_be_stored_and_stores_nothing(store: Store) -> None:
    keep(store, [50, 51])
    more = [50, 51, 52]
    shown = store.preview_keeping(read(more), as_bytes(more), name="range.csv")
    assert carries(store) == [50, 51]
    assert replace(keep(store, more), import_id=None) == replace(shown, import_id=None)  # ids of a preview mean nothing


def test_every_number_is_traced_to_its_file_row_and_column(store: Store) -> None:
    keep(store, [50, 51])
    ball = store.session_balls(1)[1]
    assert ball.place == Place(file="range.csv", row=3, col=3)
    assert store.original(1) == ("range.csv", as_bytes([50, 51]))
    assert as_bytes([50, 51]).decode().splitlines()[2] == "51"


def test_rows_set_aside_are_kept_with_their_reason(store: Store) -> None:
    reading = read([50])
    aside = SetAside(place=Place(sheet="Day 1", row=9, col=2), why="carry is no number: lost", text="lost")
    store.keep_reading(Reading(balls=reading.balls, unit="m", set_aside=(aside,)), b"x", name="range.csv")
    (kept,) = store.set_aside(1)
    assert (kept.file, kept.sheet, kept.row, kept.col, kept.why) == ("range.csv", "Day 1", 9, 2, aside.why)


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        (Reading(error="a.csv is empty."), "a.csv is empty."),
        (
            Reading(
                balls=read([1]).balls, questions=(Question(about="unit", text="Yards or metres?", option="--unit"),)
            ),
            "Yards or metres? Answer with --unit.",
        ),
        (Reading(), "no balls in it"),
    ],
)
def test_what_is_not_sure_is_not_kept(store: Store, reading: Reading, words: str) -> None:
    with raises_saying(UserError, match=words.replace("?", r"\?")):
        store.keep_reading(reading, b"", name="a.csv")
    assert store.sessions() == []
    assert Roster(store).players() == []


def test_an_edit_and_a_ball_left_out_are_undone_one_by_one_and_survive_a_reread(store: Store) -> None:
    keep(store, [50, 51])
    first, second = store.kept_balls(1)
    edit = store.edit_ball(first.id, read([55]).balls[0])
    out = store.leave_out(second.id, "a range ball hit it")
    assert carries(store) == [55, 51]
    assert [ball.use for ball in store.session_balls(1)] == [True, False]
    assert store.kept_balls(1)[1].left_out_why == "a range ball hit it"
    assert keep(store, [50, 51]).what == "nothing new"
    assert carries(store) == [55, 51]
    store.undo_edit(edit)
    assert carries(store) == [50, 51]
    store.undo_edit(out)
    assert store.session_balls(1)[1].use
    store.redo_edit(out)
    assert not store.session_balls(1)[1].use
    assert [(act.kind, act.undone) for act in History(store).recent()] == [
        ("edit", False),
        ("edit", True),
        ("import", False),
    ]


def test_a_ball_left_out_and_then_edited_stays_left_out(store: Store) -> None:
    keep(store, [50])
    (ball,) = store.kept_balls(1)
    store.leave_out(ball.id, "wind")
    store.edit_ball(ball.id, read([55]).balls[0])
    (now,) = store.kept_balls(1)
    assert (now.ball.distance_m, now.ball.use, now.left_out_why, now.edited) == (55, False, "wind", True)


def test_bag_facts_ground_and_player_of_a_session(store: Store) -> None:
    keep(store, [50])
    facts = Facts(temp_c=9.0, altitude_m=600.0, wind_mps=5.0, wind_from_deg=90.0, ball_kind="range ball")
    store.set_facts(1, facts)
    store.set_ground(1, "firm")
    Roster(store).give_session(1, "Ada Quill")
    clubs = (Club(label="54", loft_deg=54, full_carry_m=91.0), Club(label="lob wedge"))
    Roster(store).set_bag("ada quill", clubs)
    assert store.facts(1) == facts
    assert (store.session(1).ground, store.session(1).player) == ("firm", "Ada Quill")
    assert Roster(store).bag("Ada Quill") == clubs
    assert [(p.name, p.sessions) for p in Roster(store).players()] == [("Ada Quill", 1)]
    assert len(store.sessions(["ADA quill"])) == 1
    assert store.sessions(["nobody"]) == []


@pytest.mark.parametrize(
    ("act", "words"),
    [
        (lambda store: store.undo_import(9), "no import 9"),
        (lambda store: store.session_balls(9) or store.session(9), "no day 9"),
        (lambda store: store.original(9), "no file 9"),
        (lambda store: store.leave_out(9, "x"), "no ball 9"),
        (lambda store: store.leave_out(9, " "), "Say briefly why"),
        (lambda store: Roster(store).add("  "), "needs a name"),
        (lambda store: Roster(store).set_bag("Ada", [Club(label="54"), Club(label="54")]), "same name"),
    ],
)
def test_mistakes_are_told_in_one_line(store: Store, act: object, words: str) -> None:
    with raises_saying(UserError, match=words):
        act(store)  # type: ignore[operator]
