"""Long work that outlives the server: clips are analysed by durable workflows, one at a time, each in a process of its own.

DBOS keeps the queue in a small database of its own beside the store; only ids go in. After a crash or a restart it takes up
what was not finished; analysing a clip twice gives the same result in the same place, so that does no harm.
"""

import json
import logging
import secrets
import subprocess
import sys
import threading
from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

from threequarter.golf.errors import UserError
from threequarter.golf.language import N_, _
from threequarter.store.clips import Clip, Clips
from threequarter.swing.film_time import film_times, first_picture_at
from threequarter.swing.tags import strip_tags

LOG = logging.getLogger("threequarter.jobs")
LONGEST_S: Final = 3 * 3600
QUEUE: Final = "clips"
VERSION: Final = "1"


class Jobs:
    """The background work of one server."""

    def __init__(self, clips: Clips) -> None:
        self.clips = clips
        self._queue: Any = None
        self._flow: Any = None
        self._lock = threading.Lock()

    @property
    def possible(self) -> bool:
        """Whether the video extra is installed."""
        return all(find_spec(name) is not None for name in ("dbos", "av", "ai_edge_litert"))

    def start(self) -> None:
        """Takes up what an earlier run left. Does nothing without the video extra or without a clip."""
        if self.possible and self.clips.unfinished():
            self._launch()
            for clip_id in self.clips.unfinished():
                self.add(clip_id)

    def add(self, clip_id: int, attempt: str = "") -> None:
        """Queues a clip. Raises UserError without the video extra."""
        if not self.possible:
            raise UserError(_("Measuring clips needs the video extra. Run: pip install 'threequarter[video]'"))
        self._launch()
        from dbos import SetWorkflowID

        with SetWorkflowID(f"clip-{clip_id}{attempt}"):  # the same clip is never queued twice
            self._queue.enqueue(self._flow, clip_id)
        LOG.info("queued", extra={"clip": clip_id, "job": f"clip-{clip_id}{attempt}"})  # with the id of the request

    def again(self, clip_id: int) -> None:
        """Queues a clip anew whose analysis failed. Raises UserError for one that did not fail."""
        if self.clips.clip(clip_id).state != "failed":
            raise UserError(_("The analysis of clip {id} did not fail.").format(id=clip_id))
        self.add(clip_id, f"-{secrets.token_hex(4)}")  # first: after a crash right here the queue knows of it
        self.clips.mark(clip_id, "waiting")

    def stop(self) -> None:
        """Lets go; what is unfinished is taken up at the next start."""
        if self._queue is not None:
            from dbos import DBOS

            DBOS.destroy(workflow_completion_timeout_sec=0)
            self._queue = None

    def _launch(self) -> None:
        with self._lock:
            if self._queue is not None:
                return
            from dbos import DBOS, DBOSPortableJSONSerializer

            for name in ("dbos", "dbos.queue"):
                logging.getLogger(name).setLevel(logging.ERROR)
            DBOS(config={
                "name": "threequarter", "system_database_url": f"sqlite:///{(self.clips.store.data_dir / 'jobs.db').absolute()}",
                "application_version": VERSION, "executor_id": "laptop", "serializer": DBOSPortableJSONSerializer(),
                "log_level": "ERROR", "enable_otlp": False,
            })  # fmt: skip

            @DBOS.step(name="analyse")
            def step(clip_id: int) -> str:
                return analyse(self.clips, clip_id)

            @DBOS.workflow(name="clip")
            def flow(clip_id: int) -> str:
                return step(clip_id)

            self._flow = flow
            DBOS.launch()
            self._queue = DBOS.register_queue(QUEUE, worker_concurrency=1, polling_interval_sec=0.5)


def analyse(clips: Clips, clip_id: int) -> str:
    """Measures a clip in a child process and keeps what was found; returns its state."""
    try:
        clip, film = clips.clip(clip_id), clips.file(clip_id)
    except UserError:
        return "deleted"
    if clip.state == "done":
        return "done"
    clips.mark(clip_id, "running")
    _keep_time(clips, clip, film)
    strip_tags(film)
    folder = clips.folder(clip_id)
    command = [sys.executable, "-m", "threequarter", "swing", str(film), "--json", str(folder / "answer.json"), "--pictures",
               str(folder / "pictures"), "--keep-track", str(folder / "track.npz"), "--tell-progress"]  # fmt: skip
    if clip.felt:
        command += ["--felt", clip.felt]
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    watch = threading.Timer(LONGEST_S, child.kill)
    watch.start()
    try:
        said = _listen(child, lambda share: clips.mark(clip_id, "running", progress=share))
    finally:
        watch.cancel()
        child.kill() if child.poll() is None else None
    if child.returncode == 0:
        clips.mark(
            clip_id, "done", progress=1.0, answer=json.loads((folder / "answer.json").read_text(encoding="utf-8"))
        )
        return "done"
    LOG.warning("analysis failed", extra={"clip": clip_id, "status": child.returncode})
    clips.mark(clip_id, "failed", error=said or N_("The analysis stopped; the clip may be damaged."))
    return "failed"


def _keep_time(clips: Clips, clip: Clip, film: Path) -> None:
    """Keeps when the first picture was taken, before date and place are taken out of the film."""
    made, seconds = film_times(film)
    at = first_picture_at(made, seconds, clip.filmed_at)
    if at is not None and clip.progress == 0.0:
        clips.set_filmed_at(clip.id, at)


def _listen(child: "subprocess.Popen[str]", progress: Callable[[float], bool]) -> str:
    """Follows the child's words; ends it where its clip was deleted. Returns its last line that is no progress."""
    said, told = "", 0.0
    assert child.stderr is not None
    for line in child.stderr:
        if line.startswith("progress "):
            share = float(line.split()[1])
            if share - told >= 0.02:
                told = share
                if not progress(share):
                    child.kill()
        elif line.startswith("threequarter: "):
            said = line.removeprefix("threequarter: ").strip()
    child.wait()
    return said


def pictures_of(folder: Path) -> list[str]:
    """The names of the pictures of a clip, sheets first."""
    found = [path.name for path in (folder / "pictures").glob("*.svg")]
    return sorted(found, key=lambda name: ("curves" in name, len(name), name))
