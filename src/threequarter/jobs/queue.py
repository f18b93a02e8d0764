"""What a web process does with long work: it puts a clip or a task into the queue, and that is all. Workers do the rest.

On the file of a laptop tasks need no worker: the server has them done itself, one after the other, and takes up at its next
start what was left.
"""

import logging
import secrets
import threading
from collections.abc import Callable
from importlib.util import find_spec
from typing import Any, Final

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.jobs import queue_database
from threequarter.jobs.task_runner import do_all
from threequarter.store.clips.clips import Clips
from threequarter.store.tasks.tasks import Tasks

LOG = logging.getLogger("threequarter.jobs")
PATIENCE_S: Final = 5.0


class Jobs:
    """The background work of one server. With `work` it does the work too (in this process), else other processes do."""

    def __init__(self, clips: Clips, *, work: bool = True) -> None:
        self.clips, self.work = clips, work
        self.tasks = Tasks(clips.store)
        self._client: Any = None
        self._engine: Any = None
        self._worker: Any = None
        self._lock, self._asking = threading.Lock(), threading.Lock()
        self._one_task = threading.Lock()

    @property
    def possible(self) -> bool:
        """Whether the video extra is installed; a server without a worker of its own needs only the queue."""
        needed = ("dbos", "av", "ai_edge_litert") if self.work else ("dbos",)
        return all(find_spec(name) is not None for name in needed)

    def start(self) -> None:
        """Takes up what an earlier run left. On a laptop without an unfinished clip nothing is started yet."""
        self.clips.settle_all()
        if not self.clips.store.on_postgres and self.tasks.unfinished():
            self._run_tasks_here()
        if self.work and self.possible and (self.clips.store.on_postgres or self.clips.unfinished()):
            self._launch_soon()

    def add(self, clip_id: int, attempt: str = "") -> None:
        """Queues a clip. Where the queue cannot be reached now, the clip waits and is found later. Raises UserError without the extra."""
        if not self.possible:
            raise UserError(Message("store.measuring_clips_needs_the_video"))
        flow = queue_database.flow_id(self.clips.clip(clip_id), attempt)
        self._trying(lambda: self._enqueue(flow, clip_id))
        LOG.info("queued", extra={"clip": clip_id, "job": flow})  # with the id of the request

    def again(self, clip_id: int) -> None:
        """Queues a clip anew whose analysis failed. Raises UserError for one that did not fail."""
        if self.clips.clip(clip_id).state != "failed":
            raise UserError(Message("store.the_analysis_of_clip_did", id=clip_id))
        self.clips.mark(clip_id, "waiting")  # from here on it is found by the workers, whatever happens next
        self.add(clip_id, secrets.token_hex(4))

    def run_task(self, task_id: int, attempt: str = "") -> None:
        """Has a task done that is kept. Where the queue cannot be reached now, it waits and is found later."""
        flow = queue_database.task_flow(self.tasks.task(task_id), attempt)
        if self.clips.store.on_postgres:
            self._trying(lambda: self._enqueue(flow, task_id))
        else:
            self._run_tasks_here()
        LOG.info("queued", extra={"job": flow})

    def retry_task(self, task_id: int) -> None:
        """Has a task done that failed. Raises UserError for one that did not."""
        self.tasks.again(task_id)
        self.run_task(task_id, secrets.token_hex(4))

    def _run_tasks_here(self) -> None:
        threading.Thread(target=self._trying, args=(self._in_turn,), name="tasks", daemon=True).start()

    def _in_turn(self) -> None:
        with self._one_task:
            do_all(self.tasks)

    def stop(self) -> None:
        """Ends; what is unfinished is taken up at the next start, or by another worker."""
        if self._lock.acquire(timeout=PATIENCE_S):  # a worker that cannot reach its database is never done beginning
            try:
                if self._worker is not None:
                    self._worker.stop()
                self._worker = None
            finally:
                self._lock.release()
        self.let_go()

    def let_go(self) -> None:
        """Asks for nothing more: lets go of the queue. What this process does itself ends with it."""
        with self._asking:
            if self._client is not None:
                self._client.destroy()
                self._engine.dispose()
            self._client = self._engine = None

    def _enqueue(self, flow: str, number: int) -> None:
        if self.work and self._worker is None:
            self._launch_soon()
            if not self.clips.store.on_postgres:
                return  # the worker makes the queue's file and finds what waits in its first round
        with self._asking:
            if self._client is None:
                from dbos import DBOSClient

                self._engine = queue_database.open_queue(self.clips.store)
                self._client = DBOSClient(
                    system_database_engine=self._engine,
                    serializer=queue_database.serializer(),
                    dbos_system_schema=queue_database.SCHEMA,
                    application_name=queue_database.APPLICATION,
                    lazy=True,
                    retry_connection_errors=False,
                )
        self._client.enqueue(queue_database.options(flow), number)

    def _launch_soon(self) -> None:
        """Whoever asks does not wait for it: it takes as long as the database is away."""
        if self._worker is None and not self._lock.locked():
            threading.Thread(target=self._trying, args=(self._launch,), daemon=True).start()

    def _launch(self) -> None:
        with self._lock:
            if self._worker is None:
                from threequarter.jobs.worker import Worker

                worker = Worker(self.clips)
                worker.start()
                self._worker = worker

    def _trying(self, act: Callable[[], None]) -> None:
        """What is to be done is safe already and workers look for what waits, so a queue that cannot be reached is no failure."""
        try:
            act()
        except Exception:
            LOG.warning("the queue could not be reached; the work waits", exc_info=True)
