"""Reading in a process of its own: some files make a reader ask for all the memory there is, or end the process."""

import contextlib
import json
import signal
import subprocess
import threading
from collections.abc import Iterator
from typing import Any, Final

from threequarter.fence import child as child_command
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message, from_json

MEGABYTES: Final = 1500
"""Address space of the child; what it really uses is far less."""
SECONDS: Final = 6
SECONDS_PER_MB: Final = 1.0
"""Of processor time; a machine that is busy with other things may take a few times as long by the clock."""
BY_THE_CLOCK: Final = 4
OUT_OF_TIME: Final = -getattr(signal, "SIGXCPU", 24)


def lines_of(content: bytes, module: str = "threequarter.intake.tables.spreadsheet", *more: str) -> Iterator[Any]:
    """What a child that reads `content` prints, a JSON value a line.

    Raises UserError where it says what is wrong, dies, or takes too long.
    """
    seconds = round(SECONDS + SECONDS_PER_MB * len(content) / 2**20)
    command = child_command(module, str(MEGABYTES), str(seconds), *more)
    child = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert child.stdin is not None
    assert child.stdout is not None
    assert child.stderr is not None
    late = threading.Event()

    def stop() -> None:
        late.set()
        child.kill()

    watch = threading.Timer(BY_THE_CLOCK * seconds, stop)
    watch.start()
    try:
        with contextlib.suppress(BrokenPipeError):
            child.stdin.write(content)
        with contextlib.suppress(BrokenPipeError):
            child.stdin.close()
        for line in child.stdout:
            if line.endswith(b"\n"):  # a line broken off is the end of a child that died
                yield json.loads(line)
        told = child.stderr.read().decode("utf-8", errors="replace").strip()
        code = child.wait()
        if late.is_set() or code == OUT_OF_TIME:
            raise UserError(Message("intake.the_file_could_not_be", seconds=seconds))
        if code == 3:
            raise UserError(from_json(json.loads(told)))
        if code != 0:
            raise UserError(Message("intake.damaged_or_too_large"))
    finally:
        watch.cancel()
        if child.poll() is None:
            child.kill()
        child.wait()
        for pipe in (child.stdin, child.stdout, child.stderr):
            with contextlib.suppress(BrokenPipeError):
                pipe.close()
