"""Days are put right, joined and parted; every act is undone and made again, and a file that comes again adds nothing."""

import datetime
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from threequarter.golf.errors import UserError
from threequarter.intake.load import read_content
from threequarter.intake.options import ReadOptions
from threequarter.language import lines
from threequarter.store.balls.days import Days
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.history.history import History
from threequarter.store.results import Saved
from threequarter.store.store import Store

FILE = b"Player,Club,Swing,Carry (yd)\nAda Quill,54,waist,41\nAda Quill,54,waist,43\nAda Quill,54,chest,52\nAda Quill,50,chest,61\n"


@pytest.fixture
def store(tmp_path: Path, database_url: str | None) -> Iterator[Store]:
    with Store.open(tmp_path, database_url) as opened:
        yield opened


def keep(store: Store) -> Saved:
    options = ReadOptions()
    return store.keep_reading(read_content(FILE, "ada.csv", "table", options), FILE, name="ada.csv", options=options)


def typed(store: Store, day: int, *keys: str) -> None:
    balls = [{"key": f"phone-{key}", "club": "54", "swing": "waist", "carry": 40, "unit": "yd"} for key in keys]
    assert {outcome.state for outcome in PhoneBalls(store).take(day, balls)} <= {"saved", "known"}


def carries(store: Store, day: int) -> list[float]:
    return [round(kept.ball.distance_m / 0.9144, 3) for kept in store.kept_balls(day)]


def test_the_date_of_a_day_is_assumed_until_somebody_tells_it(store: Store) -> None:
    day = keep(store).session_id
    assert store.session(day).assumed
    act = Days(store).edit(
        day, replace(store.facts(day), held_on=datetime.date(2026, 4, 18), ball_kind="range", surface="mat")
    )
    info = store.session(day)
    assert (info.held_on, info.assumed, store.facts(day).dated_by) == (datetime.date(2026, 4, 18), False, "hand")
    assert act is not None
    History(store).take_back("day", act)
    assert store.session(day).assumed
    assert store.facts(day).surface is None
    History(store).again("day", act)
    assert store.facts(day).surface == "mat"
    with pytest.raises(UserError, match=r"cannot_be_the_day.*2126-04-18"):
        Days(store).edit(day, replace(store.facts(day), held_on=datetime.date(2126, 4, 18)))


def test_two_days_are_joined_and_what_the_phone_still_sends_goes_to_the_one_they_are_now(store: Store) -> None:
    table, bucket = keep(store).session_id, PhoneBalls(store).begin("Ada Quill")
    typed(store, bucket, "0001", "0002")
    act = Days(store).join(bucket, table)
    typed(store, bucket, "0002", "0003")
    assert sorted(carries(store, table)) == [40, 40, 40, 41, 43, 52, 61]
    assert carries(store, bucket) == []
    assert Days(store).standing(bucket) == table
    assert [info.id for info in store.sessions()] == [table]
    History(store).take_back("join", act)
    assert len(carries(store, table)) + len(carries(store, bucket)) == 7
    History(store).again("join", act)
    assert len(carries(store, table)) == 7


def test_days_of_two_players_are_not_joined(store: Store) -> None:
    table, other = keep(store).session_id, PhoneBalls(store).begin("Ivo Sedge")
    with pytest.raises(UserError, match="these_days_are_of_two"):
        Days(store).join(other, table)


def test_balls_are_parted_into_another_day_and_the_same_file_again_adds_nothing(store: Store) -> None:
    day = keep(store).session_id
    chosen = [kept.id for kept in store.kept_balls(day)][2:]
    other, act = Days(store).part(day, chosen, datetime.date(2026, 5, 2))
    assert (carries(store, day), carries(store, other)) == ([41, 43], [52, 61])
    assert store.session(other).held_on == datetime.date(2026, 5, 2)
    assert keep(store).what == "nothing new"
    assert (carries(store, day), carries(store, other)) == ([41, 43], [52, 61])
    assert store.original(store.imports(other)[0].id)[1] == FILE
    History(store).take_back("move balls", act)
    assert (carries(store, day), carries(store, other)) == ([41, 43, 52, 61], [])
    History(store).again("move balls", act)
    assert carries(store, other) == [52, 61]


def test_typed_balls_move_with_their_changes(store: Store) -> None:
    day, other = PhoneBalls(store).begin("Ada Quill"), PhoneBalls(store).begin("Ada Quill")
    typed(store, day, "0001", "0002")
    act = Days(store).move(day, other, [store.kept_balls(day)[0].id])
    change = {"key": "phone-0001", "rev": 1, "club": "54", "swing": "waist", "carry": 44, "unit": "yd"}
    PhoneBalls(store).take(day, [], changes=[change])
    typed(store, day, "0001", "0002")
    assert (carries(store, day), carries(store, other)) == ([40], [44])
    History(store).take_back("move balls", act)
    assert sorted(carries(store, day)) == [40, 44]


def table_of(*days: str, club: str = "54") -> bytes:
    carries = (40.5, 41.5, 39.7, 42.2, 40.1)
    rows = [f"{day};{club};waist;{carries[i % 5]}" for i, day in enumerate(day for day in days for _ball in range(4))]
    lines = ["Player: Ada Quill", "range ball; 16 C", "Date;Club;Swing;Carry (yd)", *rows]
    return ("\n".join(lines) + "\n").encode()


def keep_table(store: Store, content: bytes) -> Saved:
    return store.keep_reading(read_content(content, "season.csv", "table", ReadOptions()), content, name="season.csv")


def test_a_file_of_three_dates_is_three_days_and_is_undone_as_one(store: Store) -> None:
    kept = keep_table(store, table_of("18/04/2026", "02/05/2026", "03/06/2026"))
    infos = {info.held_on.isoformat(): info for info in store.sessions(["Ada Quill"])}
    assert {day: info.balls for day, info in infos.items()} == {"2026-04-18": 4, "2026-05-02": 4, "2026-06-03": 4}
    assert not any(info.assumed for info in infos.values())
    assert (len(kept.days), kept.session_id, kept.added) == (3, infos["2026-06-03"].id, 12)
    assert {store.facts(day).dated_by for day in kept.days} == {"file"}
    assert {store.facts(day).ball_kind for day in kept.days} == {"range ball"}
    assert {store.facts(day).temp_c for day in kept.days} == {None}  # the air of one day, nobody knows which
    assert kept.import_id is not None
    assert [len(store.original(one.id)[1]) > 0 for day in kept.days for one in store.imports(day)] == [True] * 3

    store.undo_import(store.imports(kept.days[1])[0].id)
    assert store.sessions() == []
    store.redo_import(kept.import_id)
    assert sum(info.balls for info in store.sessions()) == 12


def test_a_dated_file_that_has_grown_puts_new_balls_to_their_own_day(store: Store) -> None:
    first = keep_table(store, table_of("2026-04-18", "2026-05-02"))
    same = keep_table(store, table_of("2026-04-18", "2026-05-02"))
    assert (same.what, len(store.sessions())) == ("nothing new", 2)
    grown = keep_table(store, table_of("2026-04-18", "2026-05-02", "2026-05-02", "2026-07-01"))
    assert grown.added == 8
    by_day = {info.held_on.isoformat(): info.balls for info in store.sessions(["Ada Quill"])}
    assert by_day == {"2026-04-18": 4, "2026-05-02": 8, "2026-07-01": 4}
    assert first.days[1] in grown.days
    assert grown.import_id is not None
    store.undo_import(grown.import_id)
    assert sum(info.balls for info in store.sessions()) == 8


def test_a_ball_corrected_in_its_file_stays_on_the_day_it_was_moved_to(store: Store) -> None:
    content = table_of("2026-04-18")
    day = keep_table(store, content).session_id
    other, _act = Days(store).part(day, [store.kept_balls(day)[1].id], datetime.date(2026, 4, 19))
    keep_table(store, content.replace(b"waist;41.5", b"waist;46.5"))
    assert carries(store, other) == [46.5]
    assert 41.5 not in carries(store, day)
    assert len(carries(store, day)) == 3


def test_one_dated_day_keeps_its_air_and_a_date_with_two_readings_is_left_to_the_reader(store: Store) -> None:
    day = keep_table(store, table_of("18 Apr 2026")).session_id
    assert (store.session(day).held_on, store.facts(day).temp_c) == (datetime.date(2026, 4, 18), 16.0)
    reading = read_content(table_of("03/04/2026"), "other.csv", "table", ReadOptions())
    assert reading.days == ()
    assert any("03/04/2026" in line and "two ways" in line for line in lines(reading.plan))
    assert read_content(b"Exported 2026-05-05\n" + FILE, "a.csv", "table", ReadOptions()).days == ()


def test_a_ball_moved_away_before_its_day_was_joined_is_known_when_it_comes_again(store: Store) -> None:
    first, second, third = (PhoneBalls(store).begin("Ada Quill") for _ in range(3))
    typed(store, second, "0001", "0002")
    Days(store).move(second, first, [store.kept_balls(second)[0].id])
    Days(store).join(second, third)
    typed(store, second, "0001", "0002")
    assert (len(carries(store, first)), len(carries(store, third))) == (1, 1)


def test_what_comes_while_two_days_are_one_stays_where_it_was_typed_when_they_part(store: Store) -> None:
    first, second = (PhoneBalls(store).begin("Ada Quill") for _ in range(2))
    typed(store, first, "0001")
    act = Days(store).join(first, second)
    typed(store, second, "0002")
    History(store).take_back("join", act)
    typed(store, second, "0002")
    typed(store, first, "0001")
    assert (len(carries(store, first)), len(carries(store, second))) == (1, 1)
