"""A swing that was seen live has no film: nothing looks for one, and it goes and comes with a backup."""

from pathlib import Path
from typing import Any

import pytest

from threequarter.store.backup.backup import backup
from threequarter.store.backup.restore import restore
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.clips.live import LiveSwings
from threequarter.store.store import Store
from threequarter.store.tasks.integrity import check_integrity

pytestmark = pytest.mark.slow

SWING: dict[str, Any] = {"t_takeaway_s": 1.0, "t_top_s": 1.7, "t_impact_s": 2.0, "t_finish_s": 2.6}


def seen_live(store: Store) -> tuple[int, int]:
    """A session and the clip of its one swing."""
    session_id = PhoneBalls(store).begin("Robin")
    clip_id, number = LiveSwings(store).add(session_id, None, {"swings": []}, SWING, 3.0)
    assert number == 1
    return session_id, clip_id


def come_back(folder: Path) -> None:
    with Store.open(folder / "data") as store:
        session_id, clip_id = seen_live(store)
        assert check_integrity(store).well
        backup(store, folder / "copy.zip")
        backup(store, folder / "small.zip", films=False)
    for name in ("copy.zip", "small.zip"):
        restore(folder / name, folder / name.removesuffix(".zip"))
        with Store.open(folder / name.removesuffix(".zip")) as store:
            assert [clip.id for clip in Clips(store).of_session(session_id)] == [clip_id]
            assert check_integrity(store).well


def test_a_swing_without_a_film_is_well_and_comes_back_from_a_backup(tmp_path: Path) -> None:
    come_back(tmp_path)


@pytest.mark.usefixtures("bucket")
def test_no_film_of_it_is_looked_for_where_films_lie_in_a_store_of_objects(tmp_path: Path) -> None:
    come_back(tmp_path)
