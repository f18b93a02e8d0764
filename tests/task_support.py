"""Long work in the tests of the pages."""

import time
from typing import Any

from threequarter.jobs.queue import Jobs
from threequarter.jobs.task_runner import do_all
from web_support import inner_of


def jobs_of(client: Any) -> Jobs:
    """The long work of the server that a test asks."""
    return inner_of(client.app).state.jobs  # type: ignore[no-any-return]


def have_tasks_done(client: Any) -> None:
    """Waits until all that was asked for is done: by the server itself on a laptop's file, on PostgreSQL here, as a worker would."""
    tasks, until = jobs_of(client).tasks, time.monotonic() + 300
    while tasks.unfinished():
        assert time.monotonic() < until, "a task was never done"
        if tasks.store.on_postgres:
            do_all(tasks)
        time.sleep(0.1)
