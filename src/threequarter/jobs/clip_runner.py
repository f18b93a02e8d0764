"""Measuring one clip: in a process of its own, into a folder of its own, kept in one act; twice is the same as once."""

import logging
import os
import shutil
import subprocess
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Final

from threequarter.fence import child as child_command
from threequarter.golf.errors import NotNowError, UserError
from threequarter.golf.language import N_
from threequarter.jobs.shutdown import CHILDREN, LEAVING, Shutdown, patiently
from threequarter.language import say_error
from threequarter.languages import LANGUAGES, of_environment
from threequarter.store.clips.clips import Clip, Clips
from threequarter.store.people.roster import Roster

LOG = logging.getLogger("threequarter.jobs")
LONGEST_S: Final = 3 * 3600
SCRATCH: Final = ".work-"


def sweep_scratch(clips: Clips, worker: str) -> None:
    """Removes what a worker that lives no more had half done."""
    for folder in clips.root.glob(f"*/{SCRATCH}{worker}"):
        shutil.rmtree(folder, ignore_errors=True)


def analyse(clips: Clips, clip_id: int, worker: str) -> str:
    """Measures a clip in a child process and keeps what was found; returns its state."""
    try:
        clip = patiently(lambda: clips.clip(clip_id))
        film = patiently(lambda: clips.whole_film(clip_id))
    except NotNowError:
        raise
    except UserError as error:
        return _failed(clips, clip_id, say_error(error))
    if clip.state in ("done", "failed"):
        return clip.state
    patiently(lambda: clips.mark(clip_id, "running"))
    scratch = clips.folder(clip_id) / f"{SCRATCH}{worker}"
    shutil.rmtree(scratch, ignore_errors=True)
    scratch.mkdir(mode=0o700)
    try:
        status, said = _measure(clips, clip, film, scratch)
        if LEAVING.is_set():
            raise Shutdown
        if status == 0 and patiently(lambda: clips.keep_answer(clip_id, scratch)):
            return "done"
        if status:
            LOG.warning("analysis failed", extra={"clip": clip_id, "status": status})
        return _failed(clips, clip_id, said or N_("The analysis stopped; the clip may be damaged."))
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def _failed(clips: Clips, clip_id: int, why: str) -> str:
    """Keeps why it failed. Of a clip that was deleted meanwhile nothing is left, also what was being made from it."""
    if patiently(lambda: clips.mark(clip_id, "failed", error=why)):
        return "failed"
    shutil.rmtree(clips.folder(clip_id), ignore_errors=True)
    return "deleted"


def _measure(clips: Clips, clip: Clip, film: Path, scratch: Path) -> tuple[int, str]:
    """Runs the swing check on a film; returns its exit status and its last words."""
    code = patiently(lambda: _language(clips, clip))
    command = child_command(
        "threequarter", "--language", code, "swing", str(film), "--json", str(scratch / "answer.json"), "--pictures",
        str(scratch / "pictures"), "--keep-track", str(scratch / "track.npz"), "--tell-progress",
    )  # fmt: skip
    if clip.felt:
        command += ["--felt", clip.felt]
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    CHILDREN.add(child)
    watch = threading.Timer(LONGEST_S, child.kill)
    watch.start()
    try:
        said = _listen(child, lambda share: _progress(clips, clip.id, share))
    finally:
        watch.cancel()
        child.kill() if child.poll() is None else None
        CHILDREN.discard(child)
    return child.returncode, said


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
