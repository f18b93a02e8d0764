"""What holds whoever does a clip, and however often: one result, nothing half done, nothing of a deleted one."""

import datetime
import hashlib
import json
import os
import threading
from pathlib import Path

import pytest
from sqlalchemy import text
from tests.academy_support import wait_until
from tests.postgres_support import Server
from tests.saying import raises_saying

from threequarter.golf.errors import NotNowError, UserError
from threequarter.jobs import clip_runner, liveness, queue_database
from threequarter.jobs.child import Outcome
from threequarter.jobs.queue_database import flow_id
from threequarter.jobs.shutdown import patiently
from threequarter.language import say
from threequarter.store.clips import clips as clips_module
from threequarter.store.clips.clips import Clip, Clips
from threequarter.store.database import postgres as pg
from threequarter.store.media.media_files import write_part
from threequarter.store.store import Store

FILM = b"not really a film" * 1000


@pytest.fixture
def clips(tmp_path: Path, either_database: str) -> Clips:
    return Clips(Store.open(tmp_path / "data"))


def come(clips: Clips, film: bytes = FILM) -> int:
    clip = clips.begin("swing.mp4", len(film))
    for at in range(0, len(film), 5000):
        clips.take(clip, at, film[at : at + 5000])
    return clip


def found(_clips: Clips, _clip: Clip, film: Path, scratch: Path) -> Outcome:
    """In place of the swing check: an answer that says which film it saw."""
    (scratch / "pictures").mkdir()
    (scratch / "pictures" / "clip-swing-1.svg").write_text("<svg/>")
    (scratch / "track.npz").write_bytes(b"points")
    (scratch / "answer.json").write_text(
        json.dumps({"swings": [], "of": hashlib.sha256(film.read_bytes()).hexdigest()})
    )
    return Outcome(done=True)


def test_a_film_has_its_name_only_when_it_is_whole_and_its_sum_is_kept(clips: Clips) -> None:
    clip = clips.begin("swing.mp4", len(FILM))
    assert clips.take(clip, 0, FILM[:5000]).state == "coming"
    assert [path.name for path in clips.folder(clip).iterdir()] == ["clip.mp4.part"]
    assert clips.take(clip, 0, FILM[:7000]).received == 7000  # a part sent again, split otherwise
    assert clips.take(clip, 7000, FILM[7000:]).state == "waiting"
    assert [path.name for path in clips.folder(clip).iterdir()] == ["clip.mp4"]
    assert clips.take(clip, 7000, FILM[7000:]).state == "waiting"
    with clips.store.reading() as session:
        assert session.execute(text("SELECT sha256 FROM clip")).scalar() == hashlib.sha256(FILM).hexdigest()
    assert clips.whole_film(clip).read_bytes() == FILM


def test_parts_sent_twice_at_once_count_once(clips: Clips) -> None:
    clip = clips.begin("swing.mp4", len(FILM))
    barrier = threading.Barrier(4)

    def send() -> None:
        barrier.wait()
        for at in range(0, len(FILM), 4000):
            part = FILM[at : at + 4000]
            patiently(lambda at=at, part=part: clips.take(clip, at, part))  # a busy machine says: again

    senders = [threading.Thread(target=send) for _ in range(4)]
    for sender in senders:
        sender.start()
    for sender in senders:
        sender.join()
    assert (clips.clip(clip).received, clips.clip(clip).state) == (len(FILM), "waiting")
    assert clips.whole_film(clip).read_bytes() == FILM


def test_a_film_that_came_whole_just_as_the_server_stopped_is_settled_at_the_next_start(clips: Clips) -> None:
    clip = clips.begin("swing.mp4", len(FILM))
    clips.take(clip, 0, FILM[:-1])
    with (clips.folder(clip) / "clip.mp4.part").open("ab") as file:
        file.write(FILM[-1:])
    with clips.store.writing() as session:
        session.execute(text("UPDATE clip SET received = size"))
    clips.settle_all()
    assert clips.clip(clip).state == "waiting"
    assert clips.whole_film(clip).read_bytes() == FILM


def test_a_film_that_is_not_whole_on_this_machine_is_told_and_not_measured(
    clips: Clips, monkeypatch: pytest.MonkeyPatch
) -> None:
    clip = come(clips)
    (clips.folder(clip) / "clip.mp4").write_bytes(FILM[:-10])
    monkeypatch.setattr(clips_module, "SHARED_DISK_S", 0.1)
    assert clip_runner.analyse(clips, clip, "w-1") == "failed"
    assert "THREEQUARTER_CLIPS" in say(clips.clip(clip).error or "")


def test_two_workers_on_one_clip_end_in_one_answer_and_leave_nothing(
    clips: Clips, monkeypatch: pytest.MonkeyPatch
) -> None:
    clip = come(clips)
    barrier = threading.Barrier(2)

    def at_once(*told: object) -> Outcome:
        barrier.wait()
        return found(*told)  # type: ignore[arg-type]

    monkeypatch.setattr(clip_runner, "_measure", at_once)
    said: list[str] = []
    workers = [
        threading.Thread(target=lambda n=n: said.append(clip_runner.analyse(clips, clip, f"w-{n}"))) for n in range(2)
    ]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert said == ["done", "done"]
    assert clips.clip(clip).answer == {"swings": [], "of": hashlib.sha256(FILM).hexdigest()}
    assert sorted(path.name for path in clips.folder(clip).iterdir()) == ["clip.mp4", "pictures", "track.npz"]
    assert not clips.mark(clip, "running", progress=0.4) or clips.clip(clip).state == "done"
    assert clip_runner.analyse(clips, clip, "w-3") == "done"


def test_of_a_clip_deleted_while_it_is_measured_nothing_is_left(clips: Clips, monkeypatch: pytest.MonkeyPatch) -> None:
    clip = come(clips)

    def deleted(*told: object) -> Outcome:
        clips.delete(clip)
        (clips.folder(clip) / ".work-w-1").mkdir(parents=True)
        return found(*told[:2], Path(__file__), clips.folder(clip) / ".work-w-1")  # type: ignore[arg-type]

    monkeypatch.setattr(clip_runner, "_measure", deleted)
    assert clip_runner.analyse(clips, clip, "w-1") == "deleted"
    assert not clips.folder(clip).exists()


def test_while_the_database_is_away_a_worker_tries_again_and_keeps_what_it_found(
    clips: Clips, monkeypatch: pytest.MonkeyPatch
) -> None:
    clip, away = come(clips), [3]
    keep = clips.keep_answer

    def sometimes(clip_id: int, scratch: Path) -> bool:
        away[0] -= 1
        if away[0] >= 0:
            raise NotNowError("away")
        return keep(clip_id, scratch)

    monkeypatch.setattr(clips, "keep_answer", sometimes)
    monkeypatch.setattr(clip_runner, "_measure", found)
    assert clip_runner.analyse(clips, clip, "w-1") == "done"
    assert away == [-1]


def test_a_job_has_an_id_of_its_own_also_when_the_number_of_a_clip_comes_again() -> None:
    def clip(day: int) -> Clip:
        return Clip(
            id=7,
            session_id=None,
            name="a",
            size=1,
            received=1,
            state="waiting",
            progress=0,
            felt=None,
            answer=None,
            error=None,
            made_at=datetime.datetime(2026, 1, day),
        )

    assert flow_id(clip(1)) == flow_id(clip(1)) != flow_id(clip(2))
    assert flow_id(clip(1), "x").startswith(flow_id(clip(1)) + "-")


def test_workers_of_one_folder_bear_names_of_their_own_and_a_dead_ones_name_is_free(tmp_path: Path) -> None:
    one, two = liveness.AliveByFile(tmp_path), liveness.AliveByFile(tmp_path)
    first, second = one.claim(), two.claim()
    assert first != second
    with two.dead(first) as dead:
        assert not dead
    one.leave()
    with two.dead(first) as dead:
        assert dead
        assert liveness.AliveByFile(tmp_path).claim() not in (first, second)  # held while it is looked after
    assert one.claim() == first
    one.leave()
    two.leave()


def test_on_postgresql_a_lock_that_is_lost_is_taken_again_and_nobody_is_called_dead_before_all_are_back(
    postgres: Server, postgres_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(liveness, "SETTLED_S", 0.0)
    engines = [pg.open_server(pg.parse(postgres_url)) for _ in range(2)]
    one, two = (liveness.AliveByConnection(engine) for engine in engines)
    first, second = one.claim(), two.claim()
    assert first != second
    with two.dead(first) as dead:
        assert not dead
    postgres.stop()
    assert not one.keep()
    postgres.start()
    assert one.keep()
    assert two.keep()
    with two.dead(first) as dead:
        assert not dead
    monkeypatch.setattr(liveness, "SETTLED_S", 60.0)
    one.leave()
    with two.dead(first) as dead:
        assert not dead  # too early to say
    monkeypatch.setattr(liveness, "SETTLED_S", 0.0)
    assert wait_until(lambda: _dead(two, first), 10, "the server notices that the connection is gone") < 10
    two.leave()
    for engine in engines:
        engine.dispose()


def _dead(who: liveness.AliveByConnection, name: str) -> bool:
    with who.dead(name) as dead:
        return dead


def test_every_connection_of_the_queue_is_as_safe_as_the_stores_own(tmp_path: Path) -> None:
    store = Store.open(tmp_path)
    engine = queue_database.open_queue(store)
    with engine.connect() as connection:
        found = [
            connection.execute(text(f"PRAGMA {name}")).scalar()
            for name in ("journal_mode", "synchronous", "secure_delete")
        ]
    engine.dispose()
    assert found == ["wal", 2, 1]


def test_only_ids_go_into_the_queue_and_never_as_a_pickle(tmp_path: Path) -> None:
    assert queue_database.serializer().serialize({"args": [7], "kwargs": {}}) == '{"args":[7],"kwargs":{}}'
    with pytest.raises(TypeError):
        queue_database.serializer().serialize(object())


def test_a_part_that_leaves_a_gap_is_refused(clips: Clips) -> None:
    clip = clips.begin("swing.mp4", len(FILM))
    with raises_saying(UserError, match="begins at byte 0"):
        clips.take(clip, 10, FILM[10:20])
    assert not os.listdir(clips.folder(clip))  # noqa: PTH208


def test_an_early_part_that_comes_late_again_harms_nothing(clips: Clips) -> None:
    clip = clips.begin("swing.mp4", len(FILM))
    clips.take(clip, 0, FILM[:4000])
    clips.take(clip, 4000, FILM[4000:9000])
    write_part(clips.file(clip), 0, FILM[:4000])  # a second sender that had read "nothing has come yet"
    clips.take(clip, 9000, FILM[9000:])
    assert clips.whole_film(clip).read_bytes() == FILM
