"""On which day each ball of a file was hit, and what the lines around it tell of that day: air, ball, ground, place.

A day is read from a column, else from the line above a run of balls, the sheet's name, the file's name. What can be read in two ways
(03/04/2026) is said and not used: the day page asks for it.
"""

import datetime
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import PurePath
from typing import Any, Final, Literal

from threequarter.flight.weather import Weather
from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.intake.reading import ColumnSeen
from threequarter.intake.tables.decode import fold
from threequarter.intake.tables.sheets import Row, Sheet
from threequarter.intake.tables.vocabulary import bare, words_of

Order = Literal["day first", "month first"]
Said = tuple[int, int, int]
"""A date as written: two numbers whose order may be open (0 for a settled one), and the year."""

EARLIEST: Final = datetime.date(1990, 1, 1)
LEAST: Final = 0.9
"""So many of the cells that hold something must be dates, for a column of them."""
LOOKED_AT: Final = 400
"""Balls whose rows show where the dates stand."""
MONTHS: Final = {
    name: number
    for number, names in enumerate(
        (
            "jan january januar janvier enero gennaio",
            "feb february februar fevrier febrero febbraio",
            "mar march marz maerz mrz mars marzo",
            "apr april avril abril aprile",
            "may mai mayo maggio",
            "jun june juni juin junio giugno",
            "jul july juli juillet julio luglio",
            "aug august aout agosto",
            "sep sept september septembre septiembre settembre",
            "oct october okt oktober octobre octubre ottobre",
            "nov november novembre noviembre",
            "dec december dez dezember decembre diciembre dicembre",
        ),
        start=1,
    )
    for name in names.split()
}
_ISO = re.compile(r"(?<!\d)((?:19|20)\d\d)[-./年](\d{1,2})[-./月](\d{1,2})(?!\d)")
_COMPACT = re.compile(r"(?<!\d)(20\d\d)(\d\d)(\d\d)(?!\d)")
_DOTTED = re.compile(r"(?<![\d.])(\d{1,2})\.\s?(\d{1,2})\.\s?((?:19|20)\d\d|\d\d)(?![\d.])")
_OPEN = re.compile(r"(?<!\d)(\d{1,2})[/-](\d{1,2})[/-]((?:19|20)\d\d)(?!\d)")
_NAMED = re.compile(r"(?<!\d)(\d{1,2})(?:\.|st|nd|rd|th)?\s+([^\W\d_]{3,10})\.?,?\s+((?:19|20)\d\d)(?!\d)")
_NAMED_US = re.compile(r"([^\W\d_]{3,10})\.?\s+(\d{1,2})(?:st|nd|rd|th)?,?\s+((?:19|20)\d\d)(?!\d)")
_NOT_HIT: Final = (
    "export",
    "print",
    "gedruckt",
    "created",
    "erstellt",
    "updated",
    "birth",
    "geboren",
    "geburt",
    "born",
)
"""Words beside a date that is not the one on which balls were hit."""
_NUMBER = r"(-?\d+(?:[.,]\d+)?)\s*"
_TEMPERATURE = re.compile(
    rf"^(?:(?:air\s+)?temp[a-z]*\s*[:=]?\s*|luft\s*[:=]?\s*)?{_NUMBER}(?:°\s*|deg\s*)?([CF])$", re.IGNORECASE
)
_WIND = re.compile(rf"^(.*?)\bwind\b(.*?){_NUMBER}(m/s|mps|km/h|kmh|kph|mph)\b(.*)$", re.IGNORECASE)
_CALM = re.compile(r"^(?:no wind|calm|windstill|kein wind|wind\s*[:=]?\s*(?:none|no|calm|kein|0))$", re.IGNORECASE)
_HEIGHT = re.compile(rf"^(?:altitude|elevation|h(?:ö|oe)he)\s*[:=]?\s*{_NUMBER}(m|ft)$", re.IGNORECASE)
_MPS: Final = {"m/s": 1.0, "mps": 1.0, "km/h": 1 / 3.6, "kmh": 1 / 3.6, "kph": 1 / 3.6, "mph": 0.44704}
_FROM: Final = {
    0.0: ("head", "into", "against", "gegen"),
    180.0: ("tail", "behind", "rucken", "ruecken", "hinten"),
    270.0: ("from left", "from the left", "von links"),
    90.0: ("from right", "from the right", "von rechts"),
}
_BALLS: Final = {
    "range ball": ("range ball", "range balls", "rangeball", "rangeballe", "rangebaelle"),
    "own ball": ("own ball", "own balls", "eigener ball", "eigene balle", "eigene baelle"),
}
_SURFACES: Final = {
    "mat": ("mat", "mats", "from the mat", "off the mat", "off mats", "matte", "von der matte"),
    "turf": ("turf", "grass", "from turf", "from grass", "off grass", "rasen", "gras", "vom rasen"),
}
_BALL_KEYS: Final = ("ball", "balls", "ball type", "balle", "baelle")
_PLACE_KEYS: Final = ("place", "location", "venue", "range", "ort", "platz", "anlage")
_OF_ALL_DAYS: Final = ("ball_kind", "surface", "where_held")
"""What lines above a table of several days tell of each of them; its air is only that of one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dated:
    """`balls` with `day` counting `days`, which holds the date of each (None: not told); `conditions` by the names of a day's facts, in
    SI; `said` what was found, in words; `columns` in which column of each sheet, from 0, the dates stand."""

    balls: tuple[Ball, ...]
    days: tuple[datetime.date | None, ...] = ()
    conditions: Mapping[str, Any]
    said: tuple[Message, ...] = ()
    columns: Mapping[str | None, int] = field(default_factory=dict)

    def mark(self, columns: Sequence[ColumnSeen]) -> tuple[ColumnSeen, ...]:
        """The columns, with those read in which the dates stand."""
        return tuple(
            replace(one, role="date", verdict="read", why="") if self.columns.get(one.sheet) == one.number - 1 else one
            for one in columns
        )


_ALSO_PEOPLE: Final = frozenset(("april", "may", "june", "august", "mai", "avril"))


def names_a_month(text: str) -> bool:
    """Whether a sheet's name is a month ("Jan", "Feb 2026") and nobody's name."""
    word = re.sub(r"[\d\W_]+", "", bare(text))
    return word in MONTHS and (word not in _ALSO_PEOPLE or any(letter.isdigit() for letter in text))


def find_days(balls: Sequence[Ball], sheets: Sequence[Sheet], name: str, today: datetime.date | None = None) -> Dated:
    """The days of the balls of a file."""
    latest = (today or datetime.datetime.now(datetime.UTC).date()) + datetime.timedelta(days=1)
    columns: dict[str | None, int] = {}
    written, where = _written(balls, sheets, name, columns)
    order, why = _order([one for one in written if one], latest)
    dates = [_date(one, order, latest) if one and order else None for one in written]
    conditions = _conditions(balls, sheets)
    if not any(dates):
        return Dated(balls=tuple(balls), conditions=conditions, said=why)
    days = tuple(sorted({one for one in dates if one})) + ((None,) if not all(dates) else ())
    if len(days) > 1:
        conditions = {key: value for key, value in conditions.items() if key in _OF_ALL_DAYS}
    numbered = tuple(replace(ball, day=days.index(at) + 1) for ball, at in zip(balls, dates, strict=True))
    said = (_words(days, where), *_told(conditions))
    return Dated(balls=numbered, days=days, conditions=conditions, said=said, columns=columns)


# Dates


def _written(
    balls: Sequence[Ball], sheets: Sequence[Sheet], name: str, columns: dict[str | None, int]
) -> tuple[list[Said | None], Message]:
    """The date of each ball as written, and where it stands; notes in `columns` which ones hold dates."""
    of_file = date_in(PurePath(name).stem.replace("_", " "), compact=True)
    found: list[Said | None] = [of_file] * len(balls)
    where = Message("intake.day.from_file_name")
    for sheet in sheets:
        rows = {row.number: row for row in sheet.rows}
        mine = [(number, i) for i, ball in enumerate(balls) if (number := _row_of(ball, sheet)) in rows]
        column = _column(sheet, [rows[number] for number, _i in mine])
        above, named = _above(sheet, {number for number, _i in mine}), date_in(sheet.name or "")
        if column is not None:
            columns[sheet.name] = column[0]
        last: Said | None = None
        for number, i in sorted(mine):
            if column is not None:
                cell = _cell(rows[number], column[0])
                last = date_in(cell) if cell else last
            told = last if column is not None else above.get(number) or named
            if told:
                found[i] = told
                line = Message("intake.day.from_line")
                where = Message("intake.day.from_column", heading=column[1]) if column is not None else line
    return found, where


def _row_of(ball: Ball, sheet: Sheet) -> int:
    """The number of the row of a ball in the sheet as it is read (a sheet may lie on its side); 0 for another sheet."""
    place = ball.place
    if place is None or place.sheet != sheet.name:
        return 0
    return (place.col if sheet.turned else place.row) or 0


def _cell(row: Row, at: int) -> str:
    return row.cells[at].strip() if at < len(row.cells) else ""


def _column(sheet: Sheet, rows: Sequence[Row]) -> tuple[int, str] | None:
    """The one column whose cells are dates in the rows of the balls: its place from 0 and its heading; None for none or two."""
    looked = rows[:LOOKED_AT]
    first = min((row.number for row in rows), default=0)
    good: list[tuple[int, str]] = []
    for at in range(max((len(row.cells) for row in looked), default=0)):
        filled = [cell for row in looked if (cell := _cell(row, at))]
        dates = sum(date_in(cell) is not None for cell in filled)
        if filled and dates >= LEAST * len(filled) and (len(filled) >= LEAST * len(looked) or _cell(looked[0], at)):
            heads = [head for row in sheet.rows if row.number < first and (head := _cell(row, at))]
            if not any(word in fold(" ".join(heads[-2:])) for word in _NOT_HIT):
                good.append((at, heads[-1] if heads else ""))
    named = [one for one in good if words_of(one[1]).best == "date"]
    return named[0] if len(named) == 1 else good[0] if len(good) == 1 else None


def _above(sheet: Sheet, balls: set[int]) -> dict[int, Said]:
    """For each row of a ball the date of the line that stands nearest above it."""
    last: Said | None = None
    found = {}
    for row in sheet.rows:
        if row.number in balls:
            if last:
                found[row.number] = last
        elif row.filled and (told := date_in("  ".join(row.filled))):
            last = told
    return found


@lru_cache(maxsize=16384)
def date_in(text: str, *, compact: bool = False) -> Said | None:
    """The date in a text: (month, day, year), negative where their order is settled: (-4, -18, 2026) is 18 April; None without one."""
    if len(text) > 300 or not any(sign.isdigit() for sign in text) or any(word in fold(text) for word in _NOT_HIT):
        return None
    if found := _ISO.search(text) or (_COMPACT.search(text) if compact else None):
        return -int(found[2]), -int(found[3]), int(found[1])
    if found := _DOTTED.search(text):
        year = int(found[3])
        return -int(found[2]), -int(found[1]), year + (2000 if year < 100 else 0)
    if found := _OPEN.search(text):
        return int(found[1]), int(found[2]), int(found[3])
    if (found := _NAMED.search(text)) and (month := _month(found[2])):
        return -month, -int(found[1]), int(found[3])
    if (found := _NAMED_US.search(text)) and (month := _month(found[1])):
        return -month, -int(found[2]), int(found[3])
    return None


def _month(word: str) -> int:
    return MONTHS.get(fold(word), 0)


def _date(said: Said, order: Order, latest: datetime.date) -> datetime.date | None:
    one, two, year = said
    month, at = (abs(one), abs(two)) if one < 0 or order == "month first" else (two, one)
    try:
        found = datetime.date(year, month, at)
    except ValueError:
        return None
    return found if EARLIEST <= found <= latest else None


def _order(written: Sequence[Said], latest: datetime.date) -> tuple[Order | None, tuple[Message, ...]]:
    """Which of two numbers is the day: the order in which every date of the file can be one; None where both can, or neither."""
    different = set(written)
    orders: tuple[Order, ...] = ("day first", "month first")
    can = [order for order in orders if all(_date(one, order, latest) for one in different)]
    if not different:
        return None, ()
    if len(can) == 2 and any(one[0] > 0 and one[0] != one[1] for one in different):
        first, second, year = next(one for one in different if one[0] > 0 and one[0] != one[1])
        shown = f"{first:02d}/{second:02d}/{year}"
        return None, (Message("intake.day.two_ways", shown=shown),)
    if not can:
        return None, (Message("intake.day.none_fits"),)
    return can[0], ()


def _words(days: Sequence[datetime.date | None], where: Message) -> Message:
    dates = [one for one in days if one]
    if len(dates) == 1:
        told = Message("intake.day.one", day_on=dates[0].isoformat(), where=where)
    else:
        first, last = dates[0].isoformat(), dates[-1].isoformat()
        told = Message("intake.day.several", count=len(dates), first_on=first, last_on=last, where=where)
    return told if len(dates) == len(days) else Message("intake.day.some_without", told=told)


# What else is told of the day


def _conditions(balls: Sequence[Ball], sheets: Sequence[Sheet]) -> dict[str, Any]:
    """What the lines above the first ball tell, as far as it can be the air of a day."""
    found: dict[str, Any] = {}
    for sheet in sheets:
        first = min((row for ball in balls if (row := _row_of(ball, sheet))), default=0)
        above = [row for row in sheet.rows if row.number < first and not _heads(row)]
        for part in _parts(cell for row in above for cell in row.filled):
            for key, value in _condition(part).items():
                found.setdefault(key, value)
    air = {key: value for key, value in found.items() if key not in _OF_ALL_DAYS}
    try:
        Weather(**air)
    except UserError:
        found = {key: value for key, value in found.items() if key not in air}
    return found


def _heads(row: Row) -> bool:
    """Whether a row looks like headings: many cells, most of them named."""
    return len(row.filled) > 3 and sum(words_of(cell).best is not None for cell in row.filled) > 0.5 * len(row.filled)


def _parts(cells: Iterable[str]) -> Iterator[str]:
    for cell in cells:
        yield from (part.strip() for part in re.split(r"[;|·]|,(?!\d)", cell) if 0 < len(part.strip()) < 80)


def _condition(part: str) -> dict[str, Any]:
    """What a part of a line tells of the day: "16 C", "head wind 5 mph", "range ball", "Place: ..."."""
    if found := _TEMPERATURE.match(part):
        value = _value(found[1])
        return {"temp_c": value if found[2] in "cC" else round((value - 32) / 1.8, 1)}
    if _CALM.match(part):
        return {"wind_mps": 0.0}
    if found := _HEIGHT.match(part):
        return {"altitude_m": round(_value(found[1]) * (0.3048 if found[2].casefold() == "ft" else 1.0), 1)}
    if (found := _WIND.match(part)) and (
        degrees := next((d for d, names in _FROM.items() if any(one in fold(part) for one in names)), None)
    ) is not None:
        return {"wind_mps": round(_value(found[3]) * _MPS[found[4].casefold()], 2), "wind_from_deg": degrees}
    key, _colon, text = (one.strip() for one in part.partition(":"))
    for name, keys in (("ball_kind", _BALL_KEYS), ("where_held", _PLACE_KEYS)):
        if text and fold(key) in keys:
            return {name: text}
    for name, known in (("ball_kind", _BALLS), ("surface", _SURFACES)):
        for kind, names in known.items():
            if fold(part) in names:
                return {name: kind}
    return {}


def _value(text: str) -> float:
    return float(text.replace(",", "."))


def _told(conditions: Mapping[str, Any]) -> tuple[Message, ...]:
    air = Weather(**{key: value for key, value in conditions.items() if key not in _OF_ALL_DAYS})
    surface = conditions.get("surface")
    told = [
        conditions.get("ball_kind"),
        Message(f"intake.day.surface.{surface}") if surface else None,
        conditions.get("where_held"),
        air.message() if air.known else None,
    ]
    parts = tuple(part for part in told if part)
    return (Message("intake.day.told", told=parts),) if parts else ()
