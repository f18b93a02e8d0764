"""Doing one errand: in a process of its own, which keeps what it did in one act; begun twice it is still done once."""

import logging
import os
import subprocess
import time
from typing import Final

from threequarter.fence import child as child_command
from threequarter.golf.errors import NotNowError
from threequarter.golf.language import N_
from threequarter.jobs.shutdown import CHILDREN, LEAVING, Shutdown, patiently
from threequarter.store.database.engines import URL_VARIABLE
from threequarter.store.tasks.tasks import Tasks

LOG = logging.getLogger("threequarter.jobs")
LONGEST_S: Final = 6 * 3600.0
NOT_NOW: Final = 75
"""How the child says that the database is away: the same again in a moment may work (EX_TEMPFAIL of sysexits.h)."""
WITHOUT_DATABASE_S: Final = 300.0
MOST_CRASHES: Final = 3
"""A child that ends without a word was killed or crashed; what is to blame may be over the next time."""
STOPPED: Final = N_("It stopped before its end. Look at the log, then try again.")


def do(errands: Tasks, errand_id: int) -> str:
    """Does an errand in a child process; returns its state."""
    if not patiently(lambda: errands.begin(errand_id)):
        return "not to be done"
    said = ""
    for _attempt in range(MOST_CRASHES):
        status, said = _with_patience(errands, errand_id)
        if status == 0:
            return "done"
        LOG.warning("an errand ended badly", extra={"job": f"errand-{errand_id}", "status": status})
        if said:
            break
        LEAVING.wait(1.0)
    patiently(lambda: errands.fail(errand_id, said or STOPPED))
    return "failed"


def _with_patience(errands: Tasks, errand_id: int) -> tuple[int, str]:
    """Has the child do it, again and again while the database is away; returns its exit status and words. Raises Leaving."""
    until = time.monotonic() + WITHOUT_DATABASE_S
    while True:
        status, said = _child(errands, errand_id)
        if LEAVING.is_set():
            raise Shutdown
        if status != NOT_NOW or time.monotonic() > until:
            return status, said
        LEAVING.wait(1.0)


def do_all(errands: Tasks) -> None:
    """Does what is still to be done, one after the other. What the database keeps from being done now is done later."""
    try:
        while waiting := errands.unfinished():
            do(errands, waiting[0])
    except (NotNowError, Shutdown):
        LOG.info("errands wait for the next start")


def _child(errands: Tasks, errand_id: int) -> tuple[int, str]:
    """The exit status of the process that does it, and its last words for a user."""
    command = child_command("threequarter", "errand", str(errand_id), "--data", str(errands.store.data_dir))
    where = os.environ | {URL_VARIABLE: errands.store.url or ""}
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, env=where)
    CHILDREN.add(child)
    try:
        _out, said = child.communicate(timeout=LONGEST_S)
    except subprocess.TimeoutExpired:
        child.kill()
        _out, said = child.communicate()
    finally:
        CHILDREN.discard(child)
    lines = [line for line in said.splitlines() if line.startswith("threequarter: ")]
    if child.returncode and not lines:
        LOG.warning("the process of an errand said: %s", said[-2000:].strip())
    return child.returncode, lines[-1].removeprefix("threequarter: ").strip() if lines else ""
