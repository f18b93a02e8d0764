"""Measuring one clip: in a process of its own, into a folder of its own, kept in one act; twice is the same as once."""

import logging
import os
import shutil
from pathlib import Path
from typing import Final

from threequarter.golf.errors import NotNowError, UserError
from threequarter.golf.message import Message
from threequarter.jobs.child import Outcome, run_child
from threequarter.jobs.shutdown import LEAVING, Shutdown, patiently
from threequarter.languages import LANGUAGES, of_environment
from threequarter.store.clips.clips import Clip, Clips
from threequarter.store.people.roster import Roster

LOG = logging.getLogger("threequarter.jobs")
LONGEST_S: Final = 3 * 3600
SCRATCH: Final = ".work-"
LEAST_PROGRESS: Final = 0.02
STOPPED: Final = Message("store.analysis_stopped")


def sweep_scratch(clips: Clips, worker: str) -> None:
    """Removes what a worker that lives no more had half done."""
    for folder in clips.root.glob(f"*/{SCRATCH}{worker}"):
        shutil.rmtree(folder, ignore_errors=True)


def analyse(clips: Clips, clip_id: int, worker: str) -> str:
    """Measures a clip in a child process and keeps what was found; returns its state."""
    try:
        clip, film = patiently(lambda: _begun(clips, clip_id))
    except NotNowError:
        raise
    except UserError as error:
        return _failed(clips, clip_id, error.args[0] if error.args else STOPPED)
    if clip.state in ("done", "failed"):
        return clip.state
    scratch = film.parent / f"{SCRATCH}{worker}"
    shutil.rmtree(scratch, ignore_errors=True)
    scratch.mkdir(mode=0o700)
    try:
        outcome = _measure(clips, clip, film, scratch)
        if LEAVING.is_set():
            raise Shutdown
        if outcome.done and patiently(lambda: clips.keep_answer(clip_id, scratch)):
            return "done"
        if not outcome.done:
            LOG.warning("analysis failed: %s", outcome.log, extra={"clip": clip_id})
        return _failed(clips, clip_id, outcome.why or STOPPED)
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def _begun(clips: Clips, clip_id: int) -> tuple[Clip, Path]:
    """A clip and its whole film; from now on it counts as being measured, unless it ended before."""
    film = clips.whole_film(clip_id)
    clips.mark(clip_id, "running")
    return clips.clip(clip_id), film


def _failed(clips: Clips, clip_id: int, why: Message | str) -> str:
    """Keeps why it failed. Of a clip that was deleted meanwhile nothing is left, also what was being made from it."""
    if patiently(lambda: clips.mark(clip_id, "failed", error=why)):
        return "failed"
    shutil.rmtree(clips.folder(clip_id), ignore_errors=True)
    return "deleted"


def _measure(clips: Clips, clip: Clip, film: Path, scratch: Path) -> Outcome:
    """Has a child measure a film; says how far it is, 2 % at a time."""
    code = patiently(lambda: _language(clips, clip))
    told = 0.0

    def progress(share: float) -> bool:
        nonlocal told
        if share - told < LEAST_PROGRESS:
            return True
        told = share
        return _progress(clips, clip.id, share)

    asked = {"work": "clip", "film": str(film), "folder": str(scratch), "felt": clip.felt, "language": code}
    return run_child(asked, LONGEST_S, progress)


def _language(clips: Clips, clip: Clip) -> str:
    """The language the pictures are drawn in: the one the player reads, else that of the system."""
    usual = of_environment(os.environ)
    if clip.session_id is None:
        return usual
    try:
        player = clips.store.session(clip.session_id).player
    except UserError:  # deleted meanwhile
        return usual
    chosen = Roster(clips.store).reader(player).language if player else None
    return chosen if chosen in LANGUAGES else usual


def _progress(clips: Clips, clip_id: int, share: float) -> bool:
    """Tells how far it is; False where the clip was deleted. While the database is away nothing is told."""
    try:
        return clips.mark(clip_id, "running", progress=share)
    except NotNowError:
        return True
