"""The words that marks, notes and lines of a table are made of, as sets to look in. The words are data: `words.toml`."""

import tomllib
from importlib.resources import files
from typing import Any, Final

_DATA: Final[dict[str, Any]] = tomllib.loads(
    files("threequarter.intake.tables").joinpath("words.toml").read_text(encoding="utf-8")
)

MEANS: Final = frozenset(_DATA["means"])
WARM_UP: Final = tuple(_DATA["warm_up"])
LEAVE_OUT: Final = tuple(_DATA["leave_out"])
STRIKES: Final[dict[str, tuple[str, ...]]] = {kind: tuple(told) for kind, told in _DATA["strikes"].items()}
LEFT: Final = tuple(_DATA["left"])
RIGHT: Final = tuple(_DATA["right"])
YES: Final = frozenset(_DATA["yes"])
NO: Final = frozenset(_DATA["no"])
MISSING: Final = frozenset(_DATA["missing"])
DEFAULT_SHEETS: Final = tuple(_DATA["default_sheets"])
UNIT_CONTEXT: Final = tuple(_DATA["unit_context"])
TITLES: Final = frozenset(_DATA["titles"])
BALL_WORDS: Final = tuple(_DATA["ball_words"])
AIMED: Final = frozenset(_DATA["aimed"])
WEDGES: Final[dict[str, tuple[str, ...]]] = {kind: tuple(told) for kind, told in _DATA["wedges"].items()}
DOUBTFUL: Final = tuple(_DATA["doubtful"])
RATHER: Final = tuple(_DATA["rather"])
REMARKED_SWINGS: Final[dict[str, tuple[str, ...]]] = {
    kind: tuple(told) for kind, told in _DATA["remarked_swings"].items()
}
