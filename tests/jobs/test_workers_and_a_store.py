"""Machines that share a database and a store of films and nothing else: a film sent to one is measured by another and seen on a third."""

import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.academy_support import SWINGS, Program, server, wait_until, worker
from tests.s3_support import S3Server

pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore::ResourceWarning")]
FILM = SWINGS / "o02_waist.mp4"


@pytest.fixture
def academy(tmp_path: Path, postgres_url: str, bucket: str) -> Iterator[list[Program]]:
    programs = [
        server(tmp_path / "one", postgres_url),
        server(tmp_path / "two", postgres_url),
        worker(tmp_path / "three", postgres_url),
        worker(tmp_path / "four", postgres_url),
    ]
    try:
        for program in programs:
            program.begin()
        for program in programs:
            program.ready()
        yield programs
    finally:
        for program in programs:
            program.kill()


@pytest.mark.long
def test_a_film_is_measured_by_a_worker_that_takes_over_and_shown_by_a_server_that_never_had_it(
    academy: list[Program], tmp_path: Path, s3: S3Server, bucket: str
) -> None:
    one, two, *workers = academy
    clip = one.upload(FILM)
    wait_until(lambda: two.get(f"/clips/{clip}/state.json")["progress"] > 0, 60, "a worker begins")
    busy = next(program for program in workers if list(program.data.glob(f"clips-here/{clip}/.work-*")))
    busy.kill()
    wait_until(lambda: two.get(f"/clips/{clip}/state.json")["state"] == "done", 120, "the other worker finishes it")
    assert not list((two.data / "clips-here").glob("*"))
    with urllib.request.urlopen(f"{two.address}/clips/{clip}", timeout=300) as answer:
        page = answer.read().decode()
    sheet = page.split(f'src="/clips/{clip}/pictures/', 1)[1].split('"', 1)[0]
    with urllib.request.urlopen(f"{two.address}/clips/{clip}/pictures/{sheet}", timeout=300) as answer:
        assert b"<svg" in answer.read()
    part = urllib.request.Request(f"{two.address}/clips/{clip}/film", headers={"range": "bytes=0-999"})
    with urllib.request.urlopen(part, timeout=300) as answer:
        assert (answer.status, len(answer.read())) == (206, 1000)
    two.form(f"/clips/{clip}/delete")
    assert s3.objects(bucket) == {}
    logs = "".join(program.log.read_text() for program in academy)
    assert "known-to-all-who-read-this" not in logs
