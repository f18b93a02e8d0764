"""A line of the record that was changed, taken out or put in by hand is noticed by the daily check; what ages, a restore and a move are not."""

import datetime
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
import time_machine
from sqlalchemy import text
from tests.store.full import fill

from threequarter.cli.doctor_place import place_findings
from threequarter.store.accounts import audit, record_chain
from threequarter.store.backup.backup import backup
from threequarter.store.backup.restore import restore
from threequarter.store.store import Store
from threequarter.store.tasks.daily_maintenance import run_maintenance
from threequarter.store.tasks.integrity import check_integrity

NOW = datetime.datetime(2026, 6, 1, 9, tzinfo=datetime.UTC)


@pytest.fixture
def store(tmp_path: Path, database_url: str | None) -> Iterator[Store]:
    with Store(tmp_path / "data", database_url) as made:
        for number in range(6):
            audit.record(made, "looked at a session", account_id=1, kind="session", number=number, detail="\0 \ud800 ü")
        assert check_integrity(made).line == 0
        yield made


def by_hand(store: Store, *statements: str) -> None:
    with store.engine.begin() as connection:
        for one in statements:
            connection.execute(text(one))


@dataclass
class Tampered:
    how: str
    do: Callable[[Store], None]
    line: int


def anew(store: Store) -> None:
    """All marks computed again over a changed line, by somebody who knows how."""
    by_hand(store, "UPDATE audit SET account_id = 7 WHERE id = 4")
    with store.writing() as session:
        before = None
        for row in session.query(audit.AuditRow).order_by(audit.AuditRow.id):
            before = row.mark = record_chain.mark_of(before, {name: getattr(row, name) for name in record_chain.PARTS})


WAYS = (
    Tampered("changed", lambda store: by_hand(store, "UPDATE audit SET account_id = 7 WHERE id = 4"), 4),
    Tampered("dated back", lambda store: by_hand(store, "UPDATE audit SET at = '2020-01-01 00:00:00' WHERE id = 4"), 4),
    Tampered("taken out", lambda store: by_hand(store, "DELETE FROM audit WHERE id = 4"), 5),
    Tampered("the newest taken out", lambda store: by_hand(store, "DELETE FROM audit WHERE id = 6"), 6),
    Tampered("the oldest taken out", lambda store: by_hand(store, "DELETE FROM audit WHERE id < 3"), 1),
    Tampered("all taken out", lambda store: by_hand(store, "DELETE FROM audit"), 1),
    Tampered("without a mark", lambda store: by_hand(store, "UPDATE audit SET mark = NULL WHERE id = 4"), 4),
    Tampered("no mark anywhere", lambda store: by_hand(store, "UPDATE audit SET mark = NULL"), 6),
    Tampered("put in", lambda store: by_hand(store, "INSERT INTO audit (at, account_id, act) VALUES ('2026-01-01 00:00:00', 1, 'x')"), 7),
    Tampered("all marks made anew", anew, 6),
)  # fmt: skip


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.how)
def test_a_record_changed_by_hand_is_noticed_told_and_stays_noticed(store: Store, way: Tampered) -> None:
    way.do(store)
    assert check_integrity(store).line == way.line
    audit.record(store, "looked at a session", account_id=1)
    found = check_integrity(store)
    assert found.line == way.line
    assert not found.well
    assert any(str(way.line) in one.found and not one.well for one in place_findings(store.data_dir, 1))


def test_lines_whose_time_is_up_go_from_the_oldest_on_and_nothing_is_noticed(tmp_path: Path) -> None:
    with time_machine.travel(NOW, tick=False) as clock, Store(tmp_path) as store:
        for days in (0, 40, -900, 80):  # one dated back by a wrong clock
            clock.move_to(NOW + datetime.timedelta(days=days))
            audit.record(store, "looked at a session", account_id=1)
        for days in range(81, 900, 50):
            clock.move_to(NOW + datetime.timedelta(days=days))
            run_maintenance(store)
            assert check_integrity(store).line == 0
        assert audit.lines(store) == []
        audit.record(store, "looked at a session", account_id=1)
        assert check_integrity(store).line == 0


def test_a_restore_brings_another_record_and_is_no_tampering(tmp_path: Path) -> None:
    with Store(tmp_path / "data") as store:
        fill(store)
        audit.record(store, "looked at a session", account_id=1)
        backup(store, tmp_path / "all.zip")
        for _time in range(3):
            audit.record(store, "looked at a session", account_id=1)
        assert check_integrity(store).line == 0
    for _time in range(2):
        restore(tmp_path / "all.zip", tmp_path / "data", replace=True)
        with Store(tmp_path / "data") as store:
            assert check_integrity(store).line == 0
            by_hand(store, "UPDATE audit SET detail = 'x' WHERE id = (SELECT max(id) FROM audit)")
            assert check_integrity(store).line > 0


def test_lines_of_an_earlier_release_have_no_mark_and_stand_first(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        by_hand(store, *["INSERT INTO audit (at, account_id, act) VALUES ('2026-01-01 00:00:00', 1, 'x')"] * 3)
        audit.record(store, "looked at a session", account_id=1)
        assert check_integrity(store).line == 0
        by_hand(store, "UPDATE audit SET act = 'y' WHERE id = 4")
        assert check_integrity(store).line == 4
