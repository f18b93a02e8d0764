"""The process that does one piece of long work, apart from the server or worker that asked for it, and ends with that one.

What is to be done comes as one JSON object on standard input. What happens goes out as JSON lines on a pipe of its own (what a
library prints cannot mix with it): {"progress": 0.4}; {"failed": MESSAGE, "again": true} where the same again in a moment may
work; {"done": true}. A MESSAGE is a code with its values, or a sentence. A child that ends without the last two crashed.
"""

import json
import os
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Final

from threequarter.fence import end_with_parent, give_way
from threequarter.golf.errors import NotNowError, UserError
from threequarter.golf.message import Message, to_json

Tell = Callable[[dict[str, Any]], None]


def _clip(asked: Mapping[str, Any], tell: Tell) -> None:
    from threequarter.app.clips import analyse_clip
    from threequarter.languages import language

    give_way()
    with language(asked["language"]):
        analyse_clip(
            Path(asked["film"]),
            Path(asked["folder"]),
            felt=asked["felt"],
            progress=lambda share: tell({"progress": round(share, 3)}),
        )


def _task(asked: Mapping[str, Any], _tell: Tell) -> None:
    from threequarter.app.tasks import do_task
    from threequarter.store.store import Store
    from threequarter.store.tasks.tasks import Tasks

    try:
        store = Store.open(Path(asked["data"]), asked["url"])
        tasks = Tasks(store)
        task = tasks.task(asked["task"])
    except UserError as error:  # not what was asked is at fault but the place, which may be mended in a moment
        raise NotNowError(*error.args) from error
    if task.kind != "import":  # that one writes: who gives way while others wait for it to end keeps them waiting
        give_way()
    with store:
        do_task(tasks, task)


WORK: Final[dict[str, Callable[[Mapping[str, Any], Tell], None]]] = {"clip": _clip, "task": _task}


def main() -> None:
    """Does what is asked on standard input."""
    end_with_parent()
    told = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())

    def tell(what: dict[str, Any]) -> None:
        print(json.dumps(what), file=told, flush=True)

    asked = json.load(sys.stdin)
    try:
        WORK[asked["work"]](asked, tell)
    except UserError as error:
        why = error.args[0] if error.args else ""
        said = to_json(why) if isinstance(why, Message) else str(why)
        tell({"failed": said, "again": isinstance(error, NotNowError)})
    else:
        tell({"done": True})


if __name__ == "__main__":
    main()
