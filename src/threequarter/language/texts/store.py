"""What the store and its workers say: imports, background tasks, backups, accounts."""

from typing import Final

from threequarter.golf.language import N_
from threequarter.language.text import Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "store.task_stopped": N_("It stopped before its end. Look at the log, then try again."),
    "store.task_forgotten": N_(
        "A player was erased meanwhile, and files that waited went with that. Drop yours again."
    ),
    "store.analysis_stopped": N_("The analysis stopped; the clip may be damaged."),
}
