"""A backup asked for in the middle of a restore is of what was there before, whole, or says that it cannot be made; the restore goes on."""

import threading
from pathlib import Path
from typing import Any
from unittest.mock import patch

from threequarter.golf.errors import UserError
from threequarter.store.backup import restore as restoring
from threequarter.store.backup.backup import backup, check_backup
from threequarter.store.backup.restore import restore
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.store import Store


def ball(number: int) -> dict[str, object]:
    return {"key": f"d1f0c2a4-{number:04}", "club": "54", "swing": "waist", "carry": 30.0 + number, "unit": "m"}


def test_a_backup_in_the_middle_of_a_restore_is_whole_or_is_none(tmp_path: Path) -> None:
    here, early, middle = tmp_path / "here", tmp_path / "early.zip", tmp_path / "middle.zip"
    with Store(here) as store:
        day = PhoneBalls(store).begin("Wren Sedge", "m")
        PhoneBalls(store).take(day, [ball(1)])
        backup(store, early)
        PhoneBalls(store).take(day, [ball(2), ball(3)])
    real, came, told = restoring.swap_rows, [], list[str]()

    def asked_for() -> None:
        try:
            with Store(here) as other:
                backup(other, middle)
            came.append("made")
        except UserError as error:
            told.append(str(error))

    def swap(*given: Any) -> None:
        real(*given)
        beside = threading.Thread(target=asked_for)
        beside.start()
        beside.join(120)
        assert not beside.is_alive()

    with patch.object(restoring, "swap_rows", swap):
        restore(early, here, replace=True)
    assert len(came) + len(told) == 1
    with Store(here) as store:
        assert [kept.ball.distance_m for kept in store.kept_balls(day)] == [31.0]
    if came:
        check_backup(middle)
        restore(middle, tmp_path / "again")
        with Store(tmp_path / "again") as store:
            assert [kept.ball.distance_m for kept in store.kept_balls(day)] == [31.0, 32.0, 33.0]
    else:
        assert not middle.exists()
