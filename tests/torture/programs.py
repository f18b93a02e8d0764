"""What the rigs of a whole academy share: a data folder on either database, with a server and a worker that are real processes."""

import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from tests.academy_support import Program, server, worker
from tests.postgres_support import Server


@dataclass
class Place:
    """Where it all lies; `url` is None where the rows are in a file of `data`."""

    folder: Path
    data: Path
    url: str | None
    ends: ExitStack
    programs: list[Program] = field(default_factory=list)

    def start(self, backups: str) -> list[Program]:
        """Starts the server and the worker; `backups` is the folder of the regular ones, or "off"."""
        self.programs = [server(self.data, self.url), worker(self.data, self.url)]
        for program in self.programs:
            program.env["THREEQUARTER_BACKUPS"] = backups
            self.ends.callback(program.kill)
            program.start()
        return self.programs


@contextmanager
def place(name: str, *, postgres: bool) -> Iterator[Place]:
    """An empty place that goes away with all that was started there."""
    with ExitStack() as ends:
        scratch = tempfile.TemporaryDirectory(prefix=f"threequarter-{name}-", ignore_cleanup_errors=True)
        folder, url = Path(ends.enter_context(scratch)), None
        if postgres:
            database = Server(durable=True)
            ends.callback(database.remove)
            database.start()
            url = database.url()
        yield Place(folder, folder / "data", url, ends)
