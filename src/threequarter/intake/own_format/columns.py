"""The product's own table of balls: one row a ball, every column with its unit in its name, read back as it was written.

The same columns in CSV, JSON, XLSX and Parquet. Rows that are no balls (a club of a bag, a player, a note, a line set
aside) say so in `record`.
"""

import dataclasses
import datetime
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from threequarter.golf.ball import Ball, MeasuredAs, MeasuredBy, Place, Strike
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

Kind = Literal["text", "number", "whole", "yes", "day", "time"]
FORMAT: Final = "threequarter balls 1"


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its name with the unit in it, what kind of value stands there, and how long a text may be."""

    name: str
    kind: Kind
    most: int = 300

    @property
    def says(self) -> Message:
        """What it means."""
        return Message(f"own_column.{self.name}")


COLUMNS: Final = (
    Column("record", "text", 10),
    Column("player", "text"),
    Column("player_in_file", "text"),
    Column("session", "text"),
    Column("club", "text", 300),
    Column("loft_deg", "number"),
    Column("swing", "text"),
    Column("carry_m", "number"),
    Column("rest_m", "number"),
    Column("offline_m", "number"),
    Column("strike", "text", 10),
    Column("use", "yes"),
    Column("left_out_why", "text", 1000),
    Column("marked", "yes"),
    Column("note", "text", 8000),
    Column("number", "whole"),
    Column("day", "whole"),
    Column("measured_by", "text", 10),
    Column("count", "whole"),
    Column("error_sd_m", "number"),
    Column("shared_sd_m", "number"),
    Column("rounding_m", "number"),
    Column("total_m", "number"),
    Column("club_speed_mps", "number"),
    Column("ball_speed_mps", "number"),
    Column("launch_deg", "number"),
    Column("azimuth_deg", "number"),
    Column("backspin_rpm", "number"),
    Column("spin_axis_deg", "number"),
    Column("apex_m", "number"),
    Column("descent_deg", "number"),
    Column("source_file", "text"),
    Column("source_sheet", "text"),
    Column("source_row", "whole"),
    Column("source_column", "whole"),
    Column("edited", "yes"),
    Column("unit", "text", 2),
    Column("ground", "text", 10),
    Column("held_on", "day"),
    Column("where_held", "text"),
    Column("ball_kind", "text", 100),
    Column("temp_c", "number"),
    Column("altitude_m", "number"),
    Column("humidity_pct", "number"),
    Column("pressure_hpa", "number"),
    Column("wind_mps", "number"),
    Column("wind_from_deg", "number"),
    Column("full_carry_m", "number"),
    Column("hit_at_utc", "time"),
    Column("started_at_utc", "time"),
    Column("made_at_utc", "time"),
    Column("session_key", "text", 64),
    Column("ball_key", "text", 80),
    Column("dated_by", "text", 10),
    Column("surface", "text", 10),
    Column("taught_by", "text"),
)
BY_NAME: Final = {column.name: column for column in COLUMNS}
NEEDED: Final = frozenset(("record", "session_key", "ball_key", "carry_m", "rest_m"))
"""Headings by which the table is known as our own."""
RECORDS: Final = ("ball", "aside", "club", "player", "note")
RISKY: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠", "−")
_COPIED: Final = (
    "club",
    "swing",
    "loft_deg",
    "day",
    "error_sd_m",
    "shared_sd_m",
    "rounding_m",
    "offline_m",
    "total_m",
    "club_speed_mps",
    "ball_speed_mps",
    "launch_deg",
    "azimuth_deg",
    "backspin_rpm",
    "spin_axis_deg",
    "apex_m",
    "descent_deg",
    "count",
    "note",
)
_AIR: Final = ("temp_c", "altitude_m", "humidity_pct", "pressure_hpa", "wind_mps", "wind_from_deg")
MOST_M: Final = 1000.0
LARGEST: Final = 1e9
"""Beyond this no number of a ball, a club or a day's weather can be meant."""

OwnRow = dict[str, Any]


def harmless(text: str) -> str:
    """A text that a spreadsheet would run as a formula, made plain; `as_written` gives the text back."""
    return f"'{text}" if text.startswith((*RISKY, "'")) else text


def as_written(text: str) -> str:
    """The text behind `harmless`."""
    return text[1:] if text.startswith("'") else text


def is_own(headings: Iterable[str]) -> bool:
    """Whether these are headings of the product's own table."""
    return set(headings) >= NEEDED


def row_of(ball: Ball) -> OwnRow:
    """A ball's own columns; what the store knows beside them comes on top. `number` and `use` are the ball's."""
    row: OwnRow = {"record": "ball", **{name: getattr(ball, name) for name in _COPIED}}
    row[f"{ball.measured_as}_m"] = ball.distance_m
    row |= {
        "player_in_file": ball.player,
        "measured_by": ball.measured_by.value,
        "strike": ball.strike.value if ball.strike else None,
        "number": ball.number,
    }
    row |= {"use": ball.use, "marked": not ball.use}
    if ball.place:
        row |= {
            "source_file": ball.place.file,
            "source_sheet": ball.place.sheet,
            "source_row": ball.place.row,
            "source_column": ball.place.col,
        }
    return row


def ball_of(row: Mapping[str, Any]) -> Ball:
    """The ball of a row that `clean` passed. `use` says whether the file itself counted it. Raises UserError."""
    carry, rest = row["carry_m"], row["rest_m"]
    if (carry is None) == (rest is None):
        raise UserError(Message("own_table.a_ball_has_either_carry"))
    distance = rest if carry is None else carry
    if not 0 < distance <= MOST_M:
        raise UserError(Message("own_table.no_wedge_carries_m", distance=distance))
    where = {"sheet": row["source_sheet"], "row": row["source_row"], "col": row["source_column"]}
    place = Place(file=row["source_file"], **where) if any(value is not None for value in where.values()) else None
    kept = {name: row[name] for name in _COPIED}
    kept |= {"club": row["club"] or "", "swing": row["swing"] or "", "day": row["day"] or 1, "count": row["count"] or 1}
    return Ball(
        number=row["number"] or 1,
        player=row["player_in_file"],
        distance_m=float(distance),
        measured_as=MeasuredAs.CARRY if rest is None else MeasuredAs.REST,
        measured_by=_one_of(MeasuredBy, row, "measured_by") or MeasuredBy.UNKNOWN,
        strike=_one_of(Strike, row, "strike"),
        use=not row["marked"],
        place=place,
        **kept,
    )


def _one_of(kind: Any, row: Mapping[str, Any], name: str) -> Any:
    if row[name] is None:
        return None
    if row[name] not in set(kind):
        raise UserError(Message("own_table.is_one_of_not", name=name, known=", ".join(kind), value=row[name]))
    return kind(row[name])


def clean(cells: Mapping[str, Any], where: Message | str) -> OwnRow:
    """A row with every column, each value of its kind; None where nothing stands. Raises UserError naming row and column."""
    row: OwnRow = {}
    for column in COLUMNS:
        value = cells.get(column.name)
        try:
            row[column.name] = None if value is None or value == "" else _READ[column.kind](value, column)
        except (ValueError, TypeError, OverflowError):
            shown = str(value)[:40]
            told = {"where": where, "column": column.name, "shown": shown}
            raise UserError(Message(f"own_table.want.{column.kind}", **told)) from None
    if row["record"] not in RECORDS:
        raise UserError(
            Message("own_table.column_record_it_is_one", where=where, known=", ".join(RECORDS), value=row["record"])
        )
    return row


def _text(value: Any, column: Column) -> str:
    if not isinstance(value, str | int | float):
        raise TypeError
    text = (f"{value:.17g}" if isinstance(value, float) else str(value)).replace("\0", "")
    if len(text) > column.most:
        raise ValueError
    return text


def _number(value: Any, _column: Column) -> float:
    if isinstance(value, str):
        value = value.strip().replace("\u2212", "-")
        value = value.replace(",", ".") if value.count(",") == 1 and "." not in value else value
    found = float(value)
    if isinstance(value, bool) or not math.isfinite(found) or abs(found) > LARGEST:
        raise ValueError
    return found


def _whole(value: Any, column: Column) -> int:
    found = _number(value, column)
    if found != int(found) or not 0 <= found <= 10_000_000:
        raise ValueError
    return int(found)


def _yes(value: Any, _column: Column) -> bool:
    plain = str(value).strip().casefold()
    if plain not in ("0", "1", "true", "false", "0.0", "1.0", "wahr", "falsch"):
        raise ValueError
    return plain in ("1", "true", "1.0", "wahr")


def _day(value: Any, _column: Column) -> datetime.date:
    if isinstance(value, datetime.datetime):
        return value.date()
    return value if isinstance(value, datetime.date) else datetime.date.fromisoformat(str(value).strip()[:10])


def _time(value: Any, _column: Column) -> datetime.datetime:
    """UTC without a zone, as it is kept."""
    at = value if isinstance(value, datetime.datetime) else datetime.datetime.fromisoformat(str(value).strip())
    return at.astimezone(datetime.UTC).replace(tzinfo=None) if at.tzinfo else at


_READ: Final = {"text": _text, "number": _number, "whole": _whole, "yes": _yes, "day": _day, "time": _time}


def plain(value: Any) -> Any:
    """A value as open formats hold it: days and times in ISO 8601, times in UTC."""
    if isinstance(value, datetime.datetime):
        return f"{value.isoformat()}Z"
    return value.isoformat() if isinstance(value, datetime.date) else value


def _date_of(row: OwnRow) -> datetime.date | None:
    """When the ball of a row was hit: as told, else (assumed) the day its session was entered."""
    made: datetime.datetime | None = row["made_at_utc"]
    held_on: datetime.date | None = row["held_on"]
    return held_on or (made.date() if made else None)


def days_of(rows: Sequence[OwnRow]) -> dict[datetime.date, dict[str, Any]]:
    """The dates that the balls of an own table were hit on, oldest first, and what it tells of each; none where one ball has none.

    `assumed` where nobody told the date. Of two sessions of one date the first that knows its air tells it.
    """
    days: dict[datetime.date, dict[str, Any]] = {}
    for row in rows:
        if row["record"] != "ball":
            continue
        date = _date_of(row)
        if date is None:
            return {}
        told = days.setdefault(date, {})
        if not any(name in told for name in _AIR):
            told |= {name: row[name] for name in _AIR if row[name] is not None}
        for name in ("ball_kind", "surface", "where_held", "ground"):
            if row[name] is not None:
                told.setdefault(name, row[name])
        if row["held_on"] is None:
            told["assumed"] = True
    return dict(sorted(days.items()))


def balls_of(rows: Sequence[OwnRow]) -> tuple[Ball, ...]:
    """The balls of an own table, ready to chart: those left out by hand or by their file do not count; where it has all dates
    (`days_of`), each is a day of the balls. Raises UserError."""
    balls: list[Ball] = []
    day_of = {date: day for day, date in enumerate(days_of(rows), start=1)}
    for at, row in enumerate(rows, start=2):
        if row["record"] == "ball":
            try:
                ball = ball_of(row)
            except UserError as error:
                raise UserError(Message("own_table.row", row=at, error=error)) from None
            counts = ball.use and not row["left_out_why"] and row["use"] is not False
            place = dataclasses.replace(ball.place or Place(), file=None) if ball.place else Place(row=at)
            whose = row["player"] or ball.player
            date = _date_of(row)
            day = day_of.get(date, ball.day) if date else ball.day
            balls.append(
                dataclasses.replace(ball, number=len(balls) + 1, day=day, player=whose, use=counts, place=place)
            )
    return tuple(balls)
