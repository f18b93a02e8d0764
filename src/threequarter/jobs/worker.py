"""A worker: takes clips from the queue one at a time, looks after what dead workers left and what the queue does not know.

The queue (DBOS) remembers what was begun; a clip's row says whether it is finished. Doing a clip twice ends in the same row and
the same pictures, so neither a crash nor two workers on one clip do harm.
"""

import logging
import threading
from typing import Any, Final

from threequarter.jobs import analysing, place
from threequarter.jobs.alive import Alive, AliveByConnection, AliveByFile
from threequarter.store.clips import Clips

LOG = logging.getLogger("threequarter.jobs")
ROUND_S: Final = 2.0
OPEN: Final = ["ENQUEUED", "PENDING", "DELAYED"]


class Worker:
    """The one worker of a process."""

    def __init__(self, clips: Clips) -> None:
        self.clips = clips
        self.name = ""
        self._engine: Any = None
        self._stopping = threading.Event()

    def start(self) -> None:
        """Begins to work in the background. Raises UserError where the queue's database cannot be reached."""
        self._engine = place.open_queue(self.clips.store)
        folder = self.clips.store.data_dir / "workers"
        self._alive: Alive = AliveByConnection(self._engine) if self.clips.store.on_postgres else AliveByFile(folder)
        self.name = self._alive.claim()
        analysing.sweep_scratch(self.clips, self.name)
        self._launch()
        threading.Thread(target=self._rounds, daemon=True, name="worker-rounds").start()
        LOG.info("working", extra={"who": self.name})

    def stop(self) -> None:
        """Ends at once; what was begun is taken up by another worker, or at the next start."""
        self._stopping.set()
        analysing.leave()
        from dbos import DBOS

        DBOS.destroy(workflow_completion_timeout_sec=0)
        self._alive.leave()
        self._engine.dispose()

    def _launch(self) -> None:
        from dbos import DBOS

        DBOS(config={
            "name": place.APPLICATION, "system_database_engine": self._engine, "dbos_system_schema": place.SCHEMA,
            "application_version": place.VERSION, "executor_id": self.name, "serializer": place.serializer(),
            "log_level": "CRITICAL", "enable_otlp": False,
        })  # fmt: skip
        clips, name = self.clips, self.name

        @DBOS.step(name="analyse")
        def step(clip_id: int) -> str:
            return analysing.analyse(clips, clip_id, name)

        @DBOS.workflow(name=place.CLIP)
        def flow(clip_id: int) -> str:
            return step(clip_id)

        DBOS.launch()
        DBOS.register_queue(place.QUEUE, worker_concurrency=1, polling_interval_sec=0.5)

    def _rounds(self) -> None:
        while not self._stopping.wait(ROUND_S):
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
                    analysing.sweep_scratch(self.clips, name)
                    DBOS._recover_pending_workflows([name])
                    LOG.warning("took over what a dead worker had begun", extra={"who": name})

    def _find_forgotten(self) -> None:
        """Queues clips that wait though no job of theirs is open: the server stopped in between, or they came from a backup."""
        from dbos import DBOS

        self.clips.settle_all()
        waiting = self.clips.unfinished()
        if not waiting:
            return
        known = DBOS.list_workflows(
            workflow_id_prefix=[f"clip-{number}" for number in waiting], load_input=False, load_output=False
        )
        states = {flow.workflow_id: flow.status for flow in known}
        for clip_id in waiting:
            base = place.flow_id(self.clips.clip(clip_id))
            mine = [state for name, state in states.items() if name == base or name.startswith(f"{base}-")]
            if not any(state in OPEN for state in mine):
                DBOS.enqueue_workflow_with_options(place.options(f"{base}-{len(mine)}" if mine else base), clip_id)
