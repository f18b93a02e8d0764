"""Doing one background task: in a process of its own, which keeps what it did in one act; begun twice it is still done once."""

import logging
import time
from typing import Final

from threequarter.golf.errors import NotNowError
from threequarter.golf.message import Message
from threequarter.jobs.child import Outcome, run_child
from threequarter.jobs.shutdown import LEAVING, Shutdown, patiently
from threequarter.store.tasks.tasks import Tasks

LOG = logging.getLogger("threequarter.jobs")
LONGEST_S: Final = 6 * 3600.0
WITHOUT_DATABASE_S: Final = 300.0
MOST_CRASHES: Final = 3
"""A child that ends without a word was killed or crashed; what is to blame may be over the next time."""
STOPPED: Final = Message("store.task_stopped")


def do(tasks: Tasks, task_id: int) -> str:
    """Does a task in a child process; returns its state."""
    if not patiently(lambda: tasks.begin(task_id)):
        return "not to be done"
    why: Message | str = ""
    for _attempt in range(MOST_CRASHES):
        outcome = _with_patience(tasks, task_id)
        if outcome.done:
            return "done"
        LOG.warning("a task ended badly: %s", outcome.log, extra={"job": f"task-{task_id}"})
        why = outcome.why
        if why:
            break
        LEAVING.wait(1.0)
    patiently(lambda: tasks.fail(task_id, why or STOPPED))
    return "failed"


def _with_patience(tasks: Tasks, task_id: int) -> Outcome:
    """Has the child do it, again and again while the database is away. Raises Shutdown."""
    until = time.monotonic() + WITHOUT_DATABASE_S
    while True:
        outcome = _child(tasks, task_id)
        if LEAVING.is_set():
            raise Shutdown
        if not outcome.again or time.monotonic() > until:
            return outcome
        LEAVING.wait(1.0)


def do_all(tasks: Tasks) -> None:
    """Does what is still to be done, one after the other. What the database keeps from being done now is done later."""
    try:
        while waiting := tasks.unfinished():
            do(tasks, waiting[0])
    except (NotNowError, Shutdown):
        LOG.info("tasks wait for the next start")


def _child(tasks: Tasks, task_id: int) -> Outcome:
    asked = {"work": "task", "task": task_id, "data": str(tasks.store.data_dir), "url": tasks.store.url}
    return run_child(asked, LONGEST_S)
