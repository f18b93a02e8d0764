"""What holds for long work whoever does it, and however often: asked once, done once, nothing left of a person who is erased."""

import datetime
import threading
import time
from pathlib import Path

import pytest
from sqlalchemy import select, text
from starlette.testclient import TestClient
from tests.saying import raises_saying
from tests.store.full import fill
from tests.task_support import have_tasks_done, jobs_of

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

pytestmark = pytest.mark.slow

HOST = "127.0.0.1:8754"
ROWS = 300
TABLE = b"Player,Club,Swing,Carry (yd)\n" + b"".join(
    f"Wren Sedge,54,waist,{40 + n % 9}.{n % 10}\n".encode() for n in range(ROWS)
)


@pytest.fixture
def tasks(tmp_path: Path, either_database: str) -> Tasks:
    return Tasks(Store.open(tmp_path / "data"))


def asked(tasks: Tasks, content: bytes = TABLE, **options: str) -> int:
    file = UploadedFile(name="bucket.csv", content=content, kind="table", options=ReadOptions(**options))  # type: ignore[arg-type]
    return ask_for_import(tasks, [file], ground="normal", player=None)


def balls(tasks: Tasks) -> int:
    with tasks.store.reading() as session:
        return len(session.scalars(select(BallRow.id)).all())


def test_a_table_is_taken_in_once_though_two_do_it_at_once(tasks: Tasks) -> None:
    number, said = asked(tasks), []
    doers = [threading.Thread(target=lambda: said.append(task_runner.do(tasks, number))) for _ in range(2)]
    for doer in doers:
        doer.start()
    for doer in doers:
        doer.join()
    done = tasks.task(number)
    assert done.state == "done"
    assert done.result is not None
    assert done.result["to"].startswith("/sessions/")
    assert (balls(tasks), tasks.unfinished()) == (ROWS, [])
    assert task_runner.do(tasks, number) == "not to be done"
    with raises_saying(NotThereError, match="gone"):
        tasks.files(number)  # what was taken in is kept as an import, and only there


def test_one_whose_doer_was_killed_is_done_at_the_next_start(tasks: Tasks) -> None:
    number = asked(tasks)
    doer = threading.Thread(target=task_runner.do, args=(tasks, number))
    doer.start()
    until = time.monotonic() + 300
    while not shutdown.CHILDREN and time.monotonic() < until:
        time.sleep(0.01)
    time.sleep(0.4)
    for child in list(shutdown.CHILDREN):
        child.kill()  # and it is begun again by the one that watched it
    doer.join()
    task_runner.do_all(tasks)
    assert (tasks.task(number).state, balls(tasks)) == ("done", ROWS)


def test_what_cannot_be_done_says_why_keeps_its_file_and_is_tried_again(tasks: Tasks) -> None:
    with languages.language("de"):
        number = asked(tasks, b"Player,Club,Swing,Carry (yd)\nWren Sedge,54,waist,abc\n")
    assert task_runner.do(tasks, number) == "failed"
    told = tasks.task(number)
    assert told.error
    assert "Traceback" not in say(told.error)
    assert balls(tasks) == 0
    tasks.again(number)
    assert tasks.unfinished() == [number]
    with raises_saying(UserError, match="did not fail"):
        tasks.again(number)


def test_a_child_that_dies_without_a_word_is_tried_again_and_then_told(
    tasks: Tasks, monkeypatch: pytest.MonkeyPatch
) -> None:
    number, tries = asked(tasks), []
    monkeypatch.setattr(task_runner, "_child", lambda *_: tries.append(1) or Outcome())
    assert task_runner.do(tasks, number) == "failed"
    assert len(tries) == task_runner.MOST_CRASHES
    assert tasks.task(number).error == task_runner.STOPPED


def test_while_the_database_is_away_it_is_tried_again(tasks: Tasks, monkeypatch: pytest.MonkeyPatch) -> None:
    number, away, child = asked(tasks), [2], task_runner._child

    def sometimes(tasks: Tasks, number: int) -> Outcome:
        away[0] -= 1
        return Outcome(again=True, why="away") if away[0] >= 0 else child(tasks, number)

    monkeypatch.setattr(task_runner, "_child", sometimes)
    monkeypatch.setattr(task_runner.LEAVING, "wait", lambda _seconds: False)
    assert task_runner.do(tasks, number) == "done"
    assert balls(tasks) == ROWS


def test_of_many_who_ask_for_a_backup_one_is_heard(tasks: Tasks) -> None:
    numbers: list[int | None] = []
    askers = [threading.Thread(target=lambda: numbers.append(tasks.add_only("backup"))) for _ in range(8)]
    for asker in askers:
        asker.start()
    for asker in askers:
        asker.join()
    assert len([number for number in numbers if number is not None]) == 1


def test_while_the_pages_are_open_one_backup_is_made_and_no_second_that_day(tasks: Tasks) -> None:
    fill(tasks.store)
    regularly = BackupSchedule(
        tasks.store,
        lambda number: threading.Thread(target=task_runner.do, args=(tasks, number)).start(),
        first_s=0.0,
        every_s=0.2,
    )
    regularly.start()
    try:
        until = time.monotonic() + 300
        while not good_backups(tasks.store.backups_dir) and time.monotonic() < until:
            time.sleep(0.1)
        while regularly.busy:
            time.sleep(0.1)
        time.sleep(1.0)
    finally:
        regularly.stop()
    (good,) = good_backups(tasks.store.backups_dir)
    last = tasks.newest("backup")
    assert last is not None
    assert last.result == {"file": good.path.name}
    assert regularly.trouble == ""


def test_an_erasure_takes_what_tasks_hold_and_a_table_that_waited_says_so(tasks: Tasks) -> None:
    fill(tasks.store)
    printed = tasks.add("print", {"sessions": [1]})
    with tasks.store.writing() as session:
        tasks.done(session, printed, {}, b"%PDF of Wren Sedge")
    waits = asked(tasks)
    erase(tasks.store, "Wren Sedge")
    assert tasks.made(printed) is None
    assert "erased" in say(tasks.task(waits).error or "")
    with raises_saying(UserError, match="erased"):
        tasks.again(waits)
    with tasks.store.reading() as session:
        rows = session.scalars(select(TaskRow)).all()
        assert all("Wren" not in f"{row.asked}{row.result}{row.content!r}{row.made!r}" for row in rows)


def test_files_go_after_a_day_and_rows_after_a_week_and_what_waits_stays(tasks: Tasks) -> None:
    printed, waits = tasks.add("print", {"sessions": [1]}), asked(tasks)
    with tasks.store.writing() as session:
        tasks.done(session, printed, {}, b"%PDF")
    tasks.forget_old()
    assert tasks.made(printed) == b"%PDF"
    for days, left in ((2, [printed, waits]), (8, [waits])):
        then = datetime.datetime.now(datetime.UTC).replace(tzinfo=None) - datetime.timedelta(days=days)
        with tasks.store.writing() as session:
            session.execute(text("UPDATE task SET ended_at = :then WHERE ended_at IS NOT NULL"), {"then": str(then)})
        tasks.forget_old()
        with tasks.store.reading() as session:
            assert list(session.scalars(select(TaskRow.id).order_by(TaskRow.id))) == left
    assert tasks.files(waits) == [TABLE]


def test_a_restored_backup_brings_no_work_of_another_day(tmp_path: Path, tasks: Tasks) -> None:
    fill(tasks.store)
    asked(tasks)
    backup(tasks.store, tmp_path / "b.zip")
    restore(tmp_path / "b.zip", tmp_path / "restored")
    with Store(tmp_path / "restored") as restored:
        assert Tasks(restored).unfinished() == []


def test_a_large_table_dropped_on_the_page_is_followed_and_leads_to_what_came_in(tmp_path: Path) -> None:
    many = TABLE + b"".join(f"Ivo Quill,58,chest,{30 + n % 9}.{n % 10}\n".encode() for n in range(LARGE // 20))
    own = {"origin": f"http://{HOST}"}
    with TestClient(make_app(tmp_path / "a", frozenset({HOST})), base_url=f"http://{HOST}", headers=own) as client:
        looked = client.post("/look", files={"file": ("many.csv", many)})
        waits = client.post(str(looked.url).replace("/look/", "/keep/"), data={}, follow_redirects=False)
        assert waits.headers["location"] == "/tasks/1"
        says = client.get("/tasks/1", follow_redirects=False).text
        assert "Reading many.csv" in says
        assert 'hx-get=""' in says
        have_tasks_done(client)
        told = client.get("/tasks/1", headers={"hx-request": "true"}, follow_redirects=False)
        assert told.headers["hx-redirect"].startswith("/?shared=2&added=")
        assert f"{LARGE // 20 + ROWS}" in client.get("/tasks/1").text.replace(",", "")
        again = client.post(str(looked.url).replace("/look/", "/keep/"), data={}, follow_redirects=False)
        have_tasks_done(client)
        assert "added=0" in client.get(again.headers["location"], follow_redirects=False).headers["location"]
        assert "None: nothing is waiting." in client.get("/operation").text
        with jobs_of(client).tasks.store.writing() as session:
            forget_all(session)
        gone = client.get("/tasks/1").text
        assert "Done." in gone
        assert "/tasks/1/file" not in gone


def test_a_server_that_was_stopped_takes_up_at_its_start_what_was_left(tmp_path: Path) -> None:
    with Store(tmp_path / "a") as store:
        number = asked(Tasks(store))
        assert Tasks(store).begin(number)  # and then the server was killed
    with TestClient(make_app(tmp_path / "a", frozenset({HOST})), base_url=f"http://{HOST}") as client:
        have_tasks_done(client)
        assert (jobs_of(client).tasks.task(number).state, balls(jobs_of(client).tasks)) == ("done", ROWS)


def test_work_that_failed_is_shown_to_whoever_runs_the_server_and_tried_again(tmp_path: Path) -> None:
    own = {"origin": f"http://{HOST}"}
    with TestClient(make_app(tmp_path / "a", frozenset({HOST})), base_url=f"http://{HOST}", headers=own) as client:
        tasks = jobs_of(client).tasks
        number = asked(tasks)
        tasks.fail(number, "The disk was full.")
        assert "The disk was full." in client.get("/operation").text
        assert "threequarter_tasks_failed 1.0" in client.get("/metrics").text
        client.post(f"/operation/tasks/{number}/again")
        have_tasks_done(client)
        assert tasks.task(number).state == "done"
