"""`threequarter work`: a worker of its own, on this machine or another, for servers that run without one."""

import os
import signal
import sys
import threading
from importlib.util import find_spec
from pathlib import Path

import click

from threequarter.cli.store_commands import DATA
from threequarter.golf.errors import UserError
from threequarter.language.localize import N_, _

NEEDED = ("dbos", "av", "ai_edge_litert")


@click.command(
    help=N_(
        "Measure clips, one at a time, until ctrl-C. Start as many as you have processors, on as many machines "
        "as you like. All need the same database (THREEQUARTER_DATABASE_URL) and the same clip folder "
        "(THREEQUARTER_CLIPS, or --data on a shared disk). If a worker stops or dies, another takes over its "
        "work, or it goes on at the next start."
    ),
    epilog="Example: THREEQUARTER_DATABASE_URL=postgresql+psycopg://... threequarter work --data /srv/threequarter",
)
@DATA
def command(data: Path | None) -> None:
    if any(find_spec(name) is None for name in NEEDED):
        raise UserError(_("Measuring clips needs the video extra. Run: pip install 'threequarter[video]'"))
    from threequarter.jobs.worker import Worker
    from threequarter.store.clips.clips import Clips
    from threequarter.store.store import Store
    from threequarter.web.operation.logs import log_to_stderr

    log_to_stderr()
    ending = threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: ending.set())
    with Store.open(data) as store:
        worker = Worker(Clips(store))
        worker.start()
        click.echo(
            _("threequarter works as {name} (ctrl-C ends it). Data: {place}, clips: {clips_dir}").format(
                name=worker.name, place=store.place, clips_dir=store.films_place
            )
        )
        sys.stdout.flush()
        while not ending.wait(1.0):
            pass
        worker.stop()
    os._exit(0)  # threads of the queue that still wait for something have nothing left to do
