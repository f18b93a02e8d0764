"""What a user may tell the reader, and what is remembered for the next file that looks alike."""

from dataclasses import asdict, dataclass, field
from typing import Any, Literal

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.swing_length import Clock

Unit = Literal["yd", "m", "ft"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadOptions:
    """Answers and corrections. None leaves the decision to the file.

    `columns` maps a role (carry, club, swing, player, offline, ball_speed, launch, spin, note, use, drop) to a heading
    as written or to a column number from 1; `learned` holds folded headings and what this coach said before that they mean: a word like
    any other, the numbers still have to agree; `ignore` names columns that mean nothing here; `no_balls` are the marks (`changes.key_of`) of balls that are none; `units` maps a column number to
    the unit its numbers are in, whatever its heading says. `twins` tells what counts where a cell holds two numbers ("55-58"), `each` what a number stands for: a ball, or the mean of several. `across` tells what names over
    columns of carries are. `remarks` tells what becomes of balls that a remark speaks against. `as_read` are the subjects that a second look doubted and a person found well read. `right` is the sign of a ball right of the line (+ or -).
    """

    unit: Unit | None = None
    twins: Literal["first", "last", "middle"] | None = None
    each: Literal["ball", "mean"] | None = None
    across: Literal["players", "swings", "measures"] | None = None
    remarks: Literal["keep", "leave"] | None = None
    decimal: Literal[".", ","] | None = None
    columns: dict[str, str] = field(default_factory=dict)
    learned: dict[str, str] = field(default_factory=dict)
    ignore: tuple[str, ...] = ()
    no_balls: tuple[str, ...] = ()
    units: dict[str, str] = field(default_factory=dict)
    as_read: tuple[str, ...] = ()
    header_line: int | None = None
    sheet: str | None = None
    encoding: str | None = None
    delimiter: str | None = None
    right: Literal["+", "-"] | None = None
    player: str | None = None
    club: str | None = None
    swing: str | None = None
    clock: Clock = "camera"

    def to_json(self) -> dict[str, Any]:
        """As plain JSON, for keeping."""
        return {key: value for key, value in asdict(self).items() if value not in (None, {}, ())}

    @classmethod
    def from_json(cls, kept: dict[str, Any]) -> "ReadOptions":
        """From what `to_json` gave. Raises UserError for a key that is no option."""
        unknown = set(kept) - set(cls.__slots__)
        if unknown:
            raise UserError(Message("intake.these_are_no_options_for", names=", ".join(sorted(unknown))))
        return cls(**(kept | {name: tuple(kept.get(name, ())) for name in ("ignore", "no_balls", "as_read")}))
