"""Regular backups: what is kept, what may go, when one is due; and the daily one while the pages are open."""

import datetime
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.saying import raises_saying
from tests.store.full import FILM, add_film, fill

from threequarter.cli.doctor import last_backup
from threequarter.golf.errors import NotNowError, UserError
from threequarter.store.backup import retention
from threequarter.store.backup.restore import restore
from threequarter.store.backup.retention import (
    BACKUP_DAYS,
    RetentionPolicy,
    backup_due,
    films_fit,
    good_backups,
    make_regular_backup,
    surplus_backups,
    surplus_safety_backups,
)
from threequarter.store.database.scratch import held
from threequarter.store.erasure.erase import erase
from threequarter.store.erasure.tombstones import Erasure, erased_in
from threequarter.store.imports.save_import import now_utc
from threequarter.store.store import Store

NOW = datetime.datetime(2026, 11, 26, 9, 0)
DAY = datetime.timedelta(days=1)


def named(at: datetime.datetime) -> Path:
    return Path(f"threequarter-{at:%Y-%m-%d-%H%M%S}.zip")


def erasure(at: datetime.datetime) -> Erasure:
    return Erasure(mark="m", marks=(), removed={}, erased_at=at.isoformat())


def test_the_newest_of_seven_days_and_of_four_weeks_stay() -> None:
    every_day = [named(NOW - n * DAY) for n in range(60)]
    gone = surplus_backups(every_day, RetentionPolicy(), [], NOW)
    kept = [path for path in every_day if path not in gone]
    # 26 November 2026 is a Thursday: seven days, and the Sundays of the weeks before
    assert [path.name[13:23] for path in kept] == [
        "2026-11-26",
        "2026-11-25",
        "2026-11-24",
        "2026-11-23",
        "2026-11-22",
        "2026-11-21",
        "2026-11-20",
        "2026-11-15",
        "2026-11-08",
    ]


def test_a_winter_without_the_laptop_takes_nothing_away() -> None:
    autumn = [named(NOW - (120 + n) * DAY) for n in range(5)]
    assert surplus_backups([*autumn, named(NOW)], RetentionPolicy(), [], NOW) == []


def test_a_backup_dated_ahead_neither_ends_the_daily_ones_nor_pushes_them_out(tmp_path: Path) -> None:
    store = Store(tmp_path / "a")
    fill(store)
    folder = tmp_path / "backups"
    folder.mkdir()
    ahead = folder / named(NOW + 5 * 365 * DAY).name
    ahead.write_bytes(b"made while the clock was five years ahead")
    assert backup_due(store, folder, NOW)
    week = [named(NOW - n * DAY) for n in range(7)]
    assert surplus_backups([ahead, *week], RetentionPolicy(), [], NOW) == []
    (folder / week[0].name).write_bytes(b"today's")
    assert not backup_due(store, folder, NOW)


def test_the_doctor_names_a_backup_that_is_dated_ahead(tmp_path: Path) -> None:
    store = Store(tmp_path / "a")
    fill(store)
    (tmp_path / "a" / "backups").mkdir(exist_ok=True)
    ahead = tmp_path / "a" / "backups" / named(now_utc() + 400 * DAY).name
    ahead.write_bytes(b"")
    found = {finding.what: finding for finding in last_backup(tmp_path / "a")}
    assert not found["Clock"].well
    assert str(ahead) in found["Clock"].found
    assert not found["Last good backup"].well


def test_several_of_one_day_leave_the_newest() -> None:
    hours = [named(NOW - datetime.timedelta(hours=n)) for n in range(4)]
    assert surplus_backups(hours, RetentionPolicy(), [], NOW) == list(reversed(hours[1:]))


@given(
    st.sets(st.integers(0, 24 * 400), min_size=1, max_size=60),
    st.integers(1, 10),
    st.integers(0, 8),
    st.integers(0, 100),
)
def test_the_newest_always_stays_and_nothing_holds_somebody_erased_too_long(
    ages: set[int], days: int, weeks: int, erased_days: int
) -> None:
    made = {named(NOW - datetime.timedelta(hours=age)): NOW - datetime.timedelta(hours=age) for age in ages}
    erased_at = NOW - erased_days * DAY
    gone = surplus_backups(made, RetentionPolicy(days=days, weeks=weeks), [erasure(erased_at)], NOW)
    kept = set(made) - set(gone)
    assert max(made, key=lambda path: made[path]) in kept
    assert len(kept) <= days + weeks
    older = [path for path in kept if made[path] <= erased_at]
    assert erased_days < BACKUP_DAYS or older in ([], [max(made, key=lambda path: made[path])])


def test_backups_before_an_upgrade_or_a_restore_stay_three_at_most() -> None:
    paths = [Path(f"before-upgrade-000{n}-2026-11-0{n}-120000.zip") for n in range(1, 6)] + [Path("mine.zip")]
    assert surplus_safety_backups(paths, [], NOW) == paths[:2]
    erased = [erasure(NOW - (BACKUP_DAYS + 1) * DAY)]
    assert surplus_safety_backups([Path("before-restore-2026-09-01-120000.zip")], erased, NOW) == [
        Path("before-restore-2026-09-01-120000.zip")
    ]


def test_one_is_due_after_twenty_hours_or_an_erasure_and_never_of_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "b"
    with Store(tmp_path / "a") as store:
        assert not backup_due(store, folder, NOW)
        fill(store)
        now = now_utc()
        assert backup_due(store, folder, now)
        made = make_regular_backup(store, folder, RetentionPolicy(), now)
        assert [good.path for good in good_backups(folder)] == [made.path]
        assert not backup_due(store, folder, now + datetime.timedelta(hours=19))
        assert backup_due(store, folder, now + datetime.timedelta(hours=20))
        erase(store, "Wren Sedge")
        assert backup_due(store, folder, now + datetime.timedelta(hours=1))
        make_regular_backup(store, folder, RetentionPolicy(), now + 2 * DAY)
        assert made.path.exists()
        assert len(erased_in(folder)) == 1
        later = now + (BACKUP_DAYS + 1) * DAY
        assert made.path in make_regular_backup(store, folder, RetentionPolicy(days=30, weeks=8), later).removed
        assert not made.path.exists()


def test_only_its_own_files_are_removed_and_only_after_a_good_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "b"
    folder.mkdir()
    old = [folder / named(NOW - n * DAY).name for n in range(1, 4)]
    for path in [*old, folder / "holiday.zip", folder / "threequarter-notes.txt"]:
        path.write_bytes(b"x")
    with Store(tmp_path / "a") as store:
        fill(store)

        def fails(*_args: object, **_named: object) -> None:
            raise UserError("the stick was pulled out")

        with monkeypatch.context() as broken:
            broken.setattr(retention, "backup", fails)
            with raises_saying(UserError, match="stick"):
                make_regular_backup(store, folder, RetentionPolicy(days=1, weeks=0), NOW)
        assert all(path.exists() for path in old)
        with held(folder), raises_saying(NotNowError, match="is already running"):
            make_regular_backup(store, folder, RetentionPolicy(days=1, weeks=0), NOW)
        made = make_regular_backup(store, folder, RetentionPolicy(days=1, weeks=0), NOW)
    assert sorted(made.removed) == sorted(old)
    assert sorted(path.name for path in folder.iterdir() if path.name != ".held") == [
        "holiday.zip",
        "threequarter-2026-11-26-090000.zip",
        "threequarter-notes.txt",
    ]


def test_films_are_left_out_of_the_regular_ones_where_all_copies_would_fill_the_disk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store(tmp_path / "a") as store:
        fill(store)
        add_film(store, 1, FILM)
        free = 10 * 11 * 2 * len(FILM)
        monkeypatch.setattr(retention.shutil, "disk_usage", lambda _path: type("Usage", (), {"free": free})())
        assert films_fit(store, tmp_path, RetentionPolicy())  # eleven copies of both are a tenth
        free -= 1000
        assert not films_fit(store, tmp_path, RetentionPolicy())
        made = make_regular_backup(store, tmp_path / "b", RetentionPolicy(), NOW)
    assert made.manifest["films"] == "left out"


def test_the_command_keeps_some_and_the_doctor_says_when_the_last_good_one_was(tmp_path: Path) -> None:
    assert [*last_backup(tmp_path / "a")] == []
    with Store(tmp_path / "a") as store:
        fill(store)
    (finding,) = last_backup(tmp_path / "a")
    assert (finding.well, finding.needed) == (False, False)
    command = [sys.executable, "-m", "threequarter", "backup", "--keep", "7", "--data", str(tmp_path / "a")]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert "proved that it restores: 4 players, 4 sessions, 13 balls, 1 clip" in done.stdout
    assert (
        subprocess.run([*command, "--if-due"], capture_output=True, text=True, check=True).stdout
        == "No backup is due.\n"
    )
    (finding,) = last_backup(tmp_path / "a")
    assert finding.well
    assert finding.found.startswith("today: ")
    (good,) = good_backups(tmp_path / "a" / "backups")
    restore(good.path, tmp_path / "r")
