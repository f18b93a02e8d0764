"""What holds for long work whoever does it, and however often: asked once, done once, nothing left of a person who is erased."""

import datetime
import threading
import time
from pathlib import Path

import pytest
from sqlalchemy import select, text
from starlette.testclient import TestClient
from tests.errand_support import have_errands_done, jobs_of
from tests.saying import raises_saying
from tests.store.full import fill

from threequarter import languages
from threequarter.app.imports import LARGE, UploadedFile, ask_for_import
from threequarter.golf.errors import NotThereError, UserError
from threequarter.intake.options import ReadOptions
from threequarter.jobs import shutdown, task_runner
from threequarter.jobs.child import Outcome
from threequarter.language.say import say
from threequarter.store.backup.backup import backup
from threequarter.store.backup.restore import restore
from threequarter.store.backup.retention import good_backups
from threequarter.store.backup.schedule import BackupSchedule
from threequarter.store.database.schema import BallRow, TaskRow
from threequarter.store.erasure.erase import erase
from threequarter.store.store import Store
from threequarter.store.tasks.tasks import Tasks, forget_all
from threequarter.web.app import make_app

HOST = "127.0.0.1:8754"
ROWS = 300
TABLE = b"Player,Club,Swing,Carry (yd)\n" + b"".join(
    f"Wren Sedge,54,waist,{40 + n % 9}.{n % 10}\n".encode() for n in range(ROWS)
)


@pytest.fixture
def errands(tmp_path: Path, either_database: str) -> Tasks:
    return Tasks(Store.open(tmp_path / "data"))


def asked(errands: Tasks, content: bytes = TABLE, **options: str) -> int:
    file = UploadedFile(name="bucket.csv", content=content, kind="table", options=ReadOptions(**options))  # type: ignore[arg-type]
    return ask_for_import(errands, [file], ground="normal", player=None)


def balls(errands: Tasks) -> int:
    with errands.store.reading() as session:
        return len(session.scalars(select(BallRow.id)).all())


def test_a_table_is_taken_in_once_though_two_do_it_at_once(errands: Tasks) -> None:
    number, said = asked(errands), []
    doers = [threading.Thread(target=lambda: said.append(task_runner.do(errands, number))) for _ in range(2)]
    for doer in doers:
        doer.start()
    for doer in doers:
        doer.join()
    done = errands.task(number)
    assert done.state == "done"
    assert done.result is not None
    assert done.result["to"].startswith("/sessions/")
    assert (balls(errands), errands.unfinished()) == (ROWS, [])
    assert task_runner.do(errands, number) == "not to be done"
    with raises_saying(NotThereError, match="gone"):
        errands.files(number)  # what was taken in is kept as an import, and only there


def test_one_whose_doer_was_killed_is_done_at_the_next_start(errands: Tasks) -> None:
    number = asked(errands)
    doer = threading.Thread(target=task_runner.do, args=(errands, number))
    doer.start()
    until = time.monotonic() + 300
    while not shutdown.CHILDREN and time.monotonic() < until:
        time.sleep(0.01)
    time.sleep(0.4)
    for child in list(shutdown.CHILDREN):
        child.kill()  # and it is begun again by the one that watched it
    doer.join()
    task_runner.do_all(errands)
    assert (errands.task(number).state, balls(errands)) == ("done", ROWS)


def test_what_cannot_be_done_says_why_keeps_its_file_and_is_tried_again(errands: Tasks) -> None:
    with languages.language("de"):
        number = asked(errands, b"Player,Club,Swing,Carry (yd)\nWren Sedge,54,waist,abc\n")
    assert task_runner.do(errands, number) == "failed"
    told = errands.task(number)
    assert told.error
    assert "Traceback" not in say(told.error)
    assert balls(errands) == 0
    errands.again(number)
    assert errands.unfinished() == [number]
    with raises_saying(UserError, match="did not fail"):
        errands.again(number)


def test_a_child_that_dies_without_a_word_is_tried_again_and_then_told(
    errands: Tasks, monkeypatch: pytest.MonkeyPatch
) -> None:
    number, tries = asked(errands), []
    monkeypatch.setattr(task_runner, "_child", lambda *_: tries.append(1) or Outcome())
    assert task_runner.do(errands, number) == "failed"
    assert len(tries) == task_runner.MOST_CRASHES
    assert errands.task(number).error == task_runner.STOPPED


def test_while_the_database_is_away_it_is_tried_again(errands: Tasks, monkeypatch: pytest.MonkeyPatch) -> None:
    number, away, child = asked(errands), [2], task_runner._child

    def sometimes(errands: Tasks, number: int) -> Outcome:
        away[0] -= 1
        return Outcome(again=True, why="away") if away[0] >= 0 else child(errands, number)

    monkeypatch.setattr(task_runner, "_child", sometimes)
    monkeypatch.setattr(task_runner.LEAVING, "wait", lambda _seconds: False)
    assert task_runner.do(errands, number) == "done"
    assert balls(errands) == ROWS


def test_of_many_who_ask_for_a_backup_one_is_heard(errands: Tasks) -> None:
    numbers: list[int | None] = []
    askers = [threading.Thread(target=lambda: numbers.append(errands.add_only("backup"))) for _ in range(8)]
    for asker in askers:
        asker.start()
    for asker in askers:
        asker.join()
    assert len([number for number in numbers if number is not None]) == 1


def test_while_the_pages_are_open_one_backup_is_made_and_no_second_that_day(errands: Tasks) -> None:
    fill(errands.store)
    regularly = BackupSchedule(
        errands.store,
        lambda number: threading.Thread(target=task_runner.do, args=(errands, number)).start(),
        first_s=0.0,
        every_s=0.2,
    )
    regularly.start()
    try:
        until = time.monotonic() + 300
        while not good_backups(errands.store.backups_dir) and time.monotonic() < until:
            time.sleep(0.1)
        while regularly.busy:
            time.sleep(0.1)
        time.sleep(1.0)
    finally:
        regularly.stop()
    (good,) = good_backups(errands.store.backups_dir)
    last = errands.newest("backup")
    assert last is not None
    assert last.result == {"file": good.path.name}
    assert regularly.trouble == ""


def test_an_erasure_takes_what_errands_hold_and_a_table_that_waited_says_so(errands: Tasks) -> None:
    fill(errands.store)
    printed = errands.add("print", {"sessions": [1]})
    with errands.store.writing() as session:
        errands.done(session, printed, {}, b"%PDF of Wren Sedge")
    waits = asked(errands)
    erase(errands.store, "Wren Sedge")
    assert errands.made(printed) is None
    assert "erased" in say(errands.task(waits).error or "")
    with raises_saying(UserError, match="erased"):
        errands.again(waits)
    with errands.store.reading() as session:
        rows = session.scalars(select(TaskRow)).all()
        assert all("Wren" not in f"{row.asked}{row.result}{row.content!r}{row.made!r}" for row in rows)


def test_files_go_after_a_day_and_rows_after_a_week_and_what_waits_stays(errands: Tasks) -> None:
    printed, waits = errands.add("print", {"sessions": [1]}), asked(errands)
    with errands.store.writing() as session:
        errands.done(session, printed, {}, b"%PDF")
    errands.forget_old()
    assert errands.made(printed) == b"%PDF"
    for days, left in ((2, [printed, waits]), (8, [waits])):
        then = datetime.datetime.now(datetime.UTC).replace(tzinfo=None) - datetime.timedelta(days=days)
        with errands.store.writing() as session:
            session.execute(text("UPDATE errand SET ended_at = :then WHERE ended_at IS NOT NULL"), {"then": str(then)})
        errands.forget_old()
        with errands.store.reading() as session:
            assert list(session.scalars(select(TaskRow.id).order_by(TaskRow.id))) == left
    assert errands.files(waits) == [TABLE]


def test_a_restored_backup_brings_no_work_of_another_day(tmp_path: Path, errands: Tasks) -> None:
    fill(errands.store)
    asked(errands)
    backup(errands.store, tmp_path / "b.zip")
    restore(tmp_path / "b.zip", tmp_path / "restored")
    with Store(tmp_path / "restored") as restored:
        assert Tasks(restored).unfinished() == []


def test_a_large_table_dropped_on_the_page_is_followed_and_leads_to_what_came_in(tmp_path: Path) -> None:
    many = TABLE + b"".join(f"Ivo Quill,58,chest,{30 + n % 9}.{n % 10}\n".encode() for n in range(LARGE // 20))
    own = {"origin": f"http://{HOST}"}
    with TestClient(make_app(tmp_path / "a", frozenset({HOST})), base_url=f"http://{HOST}", headers=own) as client:
        looked = client.post("/look", files={"file": ("many.csv", many)})
        waits = client.post(str(looked.url).replace("/look/", "/keep/"), data={}, follow_redirects=False)
        assert waits.headers["location"] == "/errands/1"
        says = client.get("/errands/1", follow_redirects=False).text
        assert "Reading many.csv" in says
        assert 'hx-get=""' in says
        have_errands_done(client)
        told = client.get("/errands/1", headers={"hx-request": "true"}, follow_redirects=False)
        assert told.headers["hx-redirect"].startswith("/?shared=2&added=")
        assert f"{LARGE // 20 + ROWS}" in client.get("/errands/1").text.replace(",", "")
        again = client.post(str(looked.url).replace("/look/", "/keep/"), data={}, follow_redirects=False)
        have_errands_done(client)
        assert "added=0" in client.get(again.headers["location"], follow_redirects=False).headers["location"]
        assert "None: nothing is waiting." in client.get("/operation").text
        with jobs_of(client).tasks.store.writing() as session:
            forget_all(session)
        gone = client.get("/errands/1").text
        assert "Done." in gone
        assert "/errands/1/file" not in gone


def test_a_server_that_was_stopped_takes_up_at_its_start_what_was_left(tmp_path: Path) -> None:
    with Store(tmp_path / "a") as store:
        number = asked(Tasks(store))
        assert Tasks(store).begin(number)  # and then the server was killed
    with TestClient(make_app(tmp_path / "a", frozenset({HOST})), base_url=f"http://{HOST}") as client:
        have_errands_done(client)
        assert (jobs_of(client).tasks.task(number).state, balls(jobs_of(client).tasks)) == ("done", ROWS)


def test_work_that_failed_is_shown_to_whoever_runs_the_server_and_tried_again(tmp_path: Path) -> None:
    own = {"origin": f"http://{HOST}"}
    with TestClient(make_app(tmp_path / "a", frozenset({HOST})), base_url=f"http://{HOST}", headers=own) as client:
        errands = jobs_of(client).tasks
        number = asked(errands)
        errands.fail(number, "The disk was full.")
        assert "The disk was full." in client.get("/operation").text
        assert "threequarter_errands_failed 1.0" in client.get("/metrics").text
        client.post(f"/operation/errands/{number}/again")
        have_errands_done(client)
        assert errands.task(number).state == "done"
