"""Where the queue is kept: beside the store's rows on PostgreSQL, else in a small database of its own in the data folder.

Only ids go into it, as JSON. On SQLite every connection is as safe as the store's own.
"""

import logging
from typing import Any, Final

from sqlalchemy import Engine, event

from threequarter.store.clips.clips import Clip
from threequarter.store.database import engines, postgres
from threequarter.store.store import Store
from threequarter.store.tasks.tasks import Task

FILE_NAME: Final = "jobs.db"
SCHEMA: Final = "dbos"
APPLICATION: Final = "threequarter"
VERSION: Final = "3"
"""Of the jobs, not of the program: a worker takes up what another of the same version left. Raise it when a job's steps change."""
QUEUE: Final = "clips"
CLIP: Final = "clip"
TASKS: Final = "tasks"
TASK: Final = "task"


def open_queue(store: Store) -> Engine:
    """An engine on the queue's database. Raises UserError where PostgreSQL cannot be reached."""
    for name in ("dbos", "dbos.queue"):
        logging.getLogger(name).setLevel(logging.CRITICAL)  # it would log whole objects; what matters is logged here
    if store.url is not None:
        return postgres.open_server(postgres.parse(store.url), connections=2, patience_ms=0)
    engine = engines.open_file(store.data_dir / FILE_NAME, begin=False)
    event.listen(engine, "connect", _immediate)
    return engine


def _immediate(connection: Any, _record: Any) -> None:
    connection.isolation_level = "IMMEDIATE"  # as the queue's library sets it on a database of its own making


def serializer() -> Any:
    """How ids are written into the queue: as JSON, never as a pickle, which runs code when it is read."""
    from dbos import DBOSPortableJSONSerializer

    return DBOSPortableJSONSerializer()


def options(flow: str) -> Any:
    """How a clip or a task is put into its queue under the id `flow`; the same id again changes nothing."""
    name, queue = (TASK, TASKS) if flow.startswith(TASK) else (CLIP, QUEUE)
    return {"workflow_name": name, "queue_name": queue, "workflow_id": flow, "app_version": VERSION}


def flow_id(clip: Clip, attempt: str = "") -> str:
    """The id of a clip's job: never empty, the same for the same clip, another one for a later clip of the same number."""
    made = f"-{clip.made_at:%Y%m%d%H%M%S%f}" if clip.made_at else ""
    return f"clip-{clip.id}{made}{attempt and f'-{attempt}'}"


def task_flow(task: Task, attempt: str = "") -> str:
    """The id of a task's job, made as that of a clip."""
    return f"task-{task.id}-{task.made_at:%Y%m%d%H%M%S%f}{attempt and f'-{attempt}'}"
