"""A worker: takes clips and tasks from their queues, one of each at a time, looks after what dead workers left and what the queue does not know.

The queue (DBOS) remembers what was begun; a clip's row says whether it is finished. Doing a clip twice ends in the same row and
the same pictures, so neither a crash nor two workers on one clip do harm.
"""

import logging
import threading
from typing import Any, Final

from threequarter.jobs import clip_runner, queue_database, task_runner
from threequarter.jobs.liveness import Alive, AliveByConnection, AliveByFile
from threequarter.jobs.shutdown import shut_down
from threequarter.store.clips.clips import Clips
from threequarter.store.tasks.tasks import Tasks

LOG = logging.getLogger("threequarter.jobs")
ROUND_S: Final = 2.0
OPEN: Final = ["ENQUEUED", "PENDING", "DELAYED"]


class Worker:
    """The one worker of a process."""

    def __init__(self, clips: Clips) -> None:
        self.clips = clips
        self.tasks = Tasks(clips.store)
        self.name = ""
        self._engine: Any = None
        self._stopping = threading.Event()

    def start(self) -> None:
        """Begins to work in the background. Raises UserError where the queue's database cannot be reached."""
        self._engine = queue_database.open_queue(self.clips.store)
        folder = self.clips.store.data_dir / "workers"
        self._alive: Alive = AliveByConnection(self._engine) if self.clips.store.on_postgres else AliveByFile(folder)
        self.name = self._alive.claim()
        clip_runner.sweep_scratch(self.clips, self.name)
        self._launch()
        threading.Thread(target=self._rounds, daemon=True, name="worker-rounds").start()
        LOG.info("working", extra={"who": self.name})

    def stop(self) -> None:
        """Ends at once; what was begun is taken up by another worker, or at the next start."""
        self._stopping.set()
        shut_down()
        from dbos import DBOS

        DBOS.destroy(workflow_completion_timeout_sec=0)
        self._alive.leave()
        self._engine.dispose()

    def _launch(self) -> None:
        from dbos import DBOS

        DBOS(
            config={
                "name": queue_database.APPLICATION,
                "system_database_engine": self._engine,
                "dbos_system_schema": queue_database.SCHEMA,
                "application_version": queue_database.VERSION,
                "executor_id": self.name,
                "serializer": queue_database.serializer(),
                "log_level": "CRITICAL",
                "enable_otlp": False,
            }
        )
        clips, tasks, name = self.clips, self.tasks, self.name

        @DBOS.step(name="analyse")
        def step(clip_id: int) -> str:
            return clip_runner.analyse(clips, clip_id, name)

        @DBOS.workflow(name=queue_database.CLIP)
        def flow(clip_id: int) -> str:
            return step(clip_id)

        @DBOS.step(name="do")
        def task_step(task_id: int) -> str:
            return task_runner.do(tasks, task_id)

        @DBOS.workflow(name=queue_database.TASK)
        def task_flow(task_id: int) -> str:
            return task_step(task_id)

        DBOS.launch()
        for queue in (queue_database.QUEUE, queue_database.TASKS):
            DBOS.register_queue(queue, worker_concurrency=1, polling_interval_sec=0.5)

    def _rounds(self) -> None:
        pause_s = 0.0
        while not self._stopping.wait(pause_s):
            pause_s = ROUND_S
            try:
                if self._alive.keep():
                    self._look_after_the_dead()
                    self._find_forgotten()
            except Exception:
                LOG.warning("a round of the worker failed", exc_info=True)

    def _look_after_the_dead(self) -> None:
        """Gives back what workers had begun that live no more."""
        from dbos import DBOS

        begun = DBOS.list_workflows(status="PENDING", load_input=False, load_output=False)
        for name in sorted({flow.executor_id or "" for flow in begun} - {self.name, ""}):
            with self._alive.dead(name) as dead:
                if dead:
                    clip_runner.sweep_scratch(self.clips, name)
                    DBOS._recover_pending_workflows([name])
                    LOG.warning("took over what a dead worker had begun", extra={"who": name})

    def _find_forgotten(self) -> None:
        """Queues what waits though no job of it is open: the server stopped in between, or clips came from a backup."""
        from dbos import DBOS

        self.clips.settle_all()
        waiting = {queue_database.flow_id(self.clips.clip(number)): number for number in self.clips.unfinished()}
        if self.clips.store.on_postgres:
            waiting |= {queue_database.task_flow(self.tasks.task(number)): number for number in self.tasks.unfinished()}
        if not waiting:
            return
        known = DBOS.list_workflows(workflow_id_prefix=list(waiting), load_input=False, load_output=False)
        states = {flow.workflow_id: flow.status for flow in known}
        for base, number in waiting.items():
            mine = [state for name, state in states.items() if name == base or name.startswith(f"{base}-")]
            if not any(state in OPEN for state in mine):
                DBOS.enqueue_workflow_with_options(
                    queue_database.options(f"{base}-{len(mine)}" if mine else base), number
                )
