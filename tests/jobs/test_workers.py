"""Clips measured by workers of their own, on both databases: killed in the middle, taken over, kept once, nothing left behind."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.academy_support import SWINGS, Program, server, wait_until, worker

pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore::ResourceWarning")]
FILM = SWINGS / "o02_waist.mp4"


@pytest.fixture
def academy(tmp_path: Path, database_url: str | None) -> Iterator[tuple[list[Program], list[Program]]]:
    """Two servers and two workers; on PostgreSQL each with a data folder of its own, as on machines of their own."""
    clips = tmp_path / "clips"
    places = [tmp_path / name if database_url else tmp_path for name in ("one", "two", "three", "four")]
    servers = [server(place, database_url, clips=clips) for place in places[:2]]
    workers = [worker(place, database_url, clips=clips) for place in places[2:]]
    try:
        for program in (*servers, *workers):
            program.env["THREEQUARTER_BACKUPS"] = str(tmp_path / "backups")
            program.begin()
        for program in (*servers, *workers):
            program.ready()
        yield servers, workers
    finally:
        for program in (*servers, *workers):
            program.kill()


@pytest.mark.parametrize("database_url", ["sqlite", pytest.param("postgresql", marks=pytest.mark.long)], indirect=True)
def test_a_ball_typed_on_one_server_is_seen_on_the_other_and_a_clip_is_measured_by_a_worker_that_takes_over_from_a_killed_one(
    academy: tuple[list[Program], list[Program]], tmp_path: Path
) -> None:
    (one, two), workers = academy
    session = one.begin_bucket()
    sent = one.post(
        f"/api/sessions/{session}/balls",
        {"balls": [{"key": "key-00000001", "club": "54", "swing": "waist", "carry": 41, "unit": "yd"}]},
    )
    assert [outcome["state"] for outcome in sent["outcomes"]] == ["saved"]
    assert two.get(f"/api/sessions/{session}/live")["balls"] == 1
    clip = one.upload(FILM, session)
    wait_until(lambda: two.get(f"/clips/{clip}/state.json")["progress"] > 0, 60, "a worker begins")
    scratch = list((tmp_path / "clips" / str(clip)).glob(".work-*"))
    assert len(scratch) == 1
    name = scratch[0].name.removeprefix(".work-")
    busy = next(program for program in workers if f" {name} " in program.says)
    busy.kill()
    wait_until(lambda: two.get(f"/clips/{clip}/state.json")["state"] == "done", 120, "the other worker finishes it")
    wait_until(lambda: not list((tmp_path / "clips").rglob(".work-*")), 10, "nothing half done is left")
    left = sorted(path.name for path in (tmp_path / "clips" / str(clip)).iterdir())
    assert left == ["clip.mp4", "pictures", "track.npz"]
    assert len(two.get(f"/clips/{clip}/state.json")) > 0
    assert {program.says.split(" works as ")[1].split()[0] for program in workers} == {
        name,
        *(_names(workers) - {name}),
    }


def _names(workers: list[Program]) -> set[str]:
    found = {program.says.split(" works as ")[1].split()[0] for program in workers}
    assert len(found) == 2  # two workers of one machine never bear one name
    return found


@pytest.mark.long
@pytest.mark.parametrize("database_url", ["postgresql"], indirect=True)
def test_a_large_table_a_print_and_a_backup_are_done_once_though_workers_and_a_server_are_killed(
    academy: tuple[list[Program], list[Program]],
) -> None:
    (one, two), workers = academy
    rows = "".join(f"Ivo Quill,58,chest,{30 + n % 9}.{n % 10}\n" for n in range(9_000))
    looked = one.form("/look", text=f"Player,Club,Swing,Carry (yd)\n{rows}")
    taken = one.form(looked.removeprefix(one.address).replace("/look/", "/keep/")).removeprefix(one.address)
    clinic, session = two.begin_clinic()
    two.post(
        f"/api/sessions/{session}/balls",
        {
            "balls": [
                {"key": f"key-0000000{n}", "club": "54", "swing": "waist", "carry": 40 + n, "unit": "yd"}
                for n in range(6)
            ]
        },
    )
    printed = two.form(f"/clinics/{clinic}/print").removeprefix(two.address)
    one.form("/safekeeping/backup")
    one.form("/safekeeping/backup")  # of two who ask one is heard
    for program in (one, *workers):
        program.kill()
    for program in (one, workers[1]):
        program.start()
    wait_until(lambda: "It is ready." in two.page(printed), 120, "the print is made")
    wait_until(lambda: "being made" not in two.page("/safekeeping"), 120, "the backup is made")
    wait_until(lambda: "tasks" not in two.address_of(taken), 120, "the table is taken in")
    balls = [info["balls"] for info in two.get("/api/sessions")]
    assert sorted(balls) == [6, 9_000]
    assert "The last good backup was made on" in two.page("/safekeeping")
    assert two.page("/operation").count("None: nothing is waiting.") == 2
