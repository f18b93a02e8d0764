"""Units as they stand in headings, unit rows, cells and lines above a table."""

import re
import tomllib
import unicodedata
from functools import lru_cache
from importlib.resources import files
from itertools import pairwise
from typing import Final, Literal

from threequarter.golf import units as si
from threequarter.intake.tables import words
from threequarter.intake.tables.decode import fold

Quantity = Literal["length", "speed", "angle", "spin"]

_DATA: Final[dict[str, dict[str, list[str]]]] = tomllib.loads(
    files("threequarter.intake.tables").joinpath("units.toml").read_text(encoding="utf-8")
)
_STEMS: Final = {stem: unit for unit, told in _DATA["stems"].items() for stem in told}
_INSIDE: Final = {word: unit for unit, told in _DATA["inside"].items() for word in told}
_NO_UNIT: Final = re.compile(r"^(metri[ck]|metro[np]|yarda?g)")
"""Words that only begin like one: metric, metronome, yardage."""
_LENGTH_M: Final = {"m": 1.0, "yd": si.YARD_M, "ft": si.FOOT_M, "cm": 0.01, "inch": si.INCH_M}
_SPEED_MPS: Final = {"mph": si.MPH_MPS, "kmh": si.KMH_MPS, "mps": 1.0, "fps": si.FOOT_M, "knot": si.KNOT_MPS}
LENGTHS_M: Final = {word: _LENGTH_M[unit] for unit, told in _DATA["length"].items() for word in told}
SPEEDS_MPS: Final = {word: _SPEED_MPS[unit] for unit, told in _DATA["speed"].items() for word in told}
ANGLES: Final = frozenset(_DATA["other"]["angle"])
SPINS: Final = frozenset(_DATA["other"]["spin"])

LONGEST_UNIT: Final = 30
MOST_WORDS: Final = 8
"""A line of so few words with no number in it that names one unit sets it: a longer one may tell of other things."""
LONGEST_HEADING: Final = 200
"""Letters of a heading that are looked at; a longer text heads nothing."""
_MANY: Final = re.compile(r"[\d.,]*\d")
_UNSAFE: Final = frozenset(("in", "y", "'", '"', "′", "″", "pie", "pé", "mt", "vol", "米"))
"""Words of a line that are more often something else than a unit."""
_SAFE_FOR_LINES: Final = frozenset(u for u in LENGTHS_M if len(u) > 2 or u in ("yd", "ft", "米", "码"))


def bent_unit(word: str) -> float | None:
    """Metres of a unit of length in whatever case a language bends it ("metrech", "jardów"); None for another word."""
    plain = "".join(c for c in unicodedata.normalize("NFD", word) if not unicodedata.combining(c))
    if not all(c.isalpha() or unicodedata.combining(c) for c in word) or len(plain) > 12 or _NO_UNIT.match(plain):
        return None
    for stem, unit in _INSIDE.items():
        if stem in word:
            return _LENGTH_M[unit]
    return next((_LENGTH_M[unit] for stem, unit in _STEMS.items() if plain.startswith(stem)), None)


@lru_cache(maxsize=16384)
def unit_of(text: str) -> tuple[Quantity, float] | None:
    """The quantity and SI factor of a unit as written; None if the text is no unit."""
    if len(text) > LONGEST_UNIT:
        return None
    plain = fold(text).strip("[](){} ,;:")
    plain = plain if plain in ("'", '"') else plain.strip()
    if plain in LENGTHS_M:
        return "length", LENGTHS_M[plain]
    if plain in SPEEDS_MPS:
        return "speed", SPEEDS_MPS[plain]
    if plain in ANGLES:
        return "angle", 1.0
    if plain in SPINS:
        return "spin", 1.0
    bent = bent_unit(plain)
    return ("length", bent) if bent else None


def split_heading(text: str) -> tuple[str, tuple[Quantity, float] | None]:
    """A heading without its unit, and the unit: "Carry (yd)", "Carry, m", "carry_ms", "Carry [m]", "CARRY FEET"."""
    plain = fold(text[:LONGEST_HEADING]).replace("_", " ").strip(" .:;*")
    for match in re.finditer(r"[(\[{<]([^)\]}>]*)[)\]}>]", plain):
        if unit := unit_of(match[1]):
            return (plain[: match.start()] + plain[match.end() :]).strip(" ,.:;"), unit
    for pattern in (r"^(.*?)\s*[,;:/|·]\s*([^,;]+)$", r"^(.*?)\s+in\s+(\S+)$", r"^(.*\S)\s+(\S+)$", r"^(.*\S)-(\S+)$"):
        match_end = re.match(pattern, plain)
        if match_end and match_end[1] and (unit := unit_of(match_end[2])):
            if match_end[2] in ("in", "y", "n") and pattern.startswith(r"^(.*\S)\s"):
                continue
            return match_end[1].strip(" ,.:;-"), unit
    if match_start := re.match(r"^(.+?)°$", plain):
        return match_start[1].strip(), ("angle", 1.0)
    return plain, None


def unit_in_line(text: str) -> float | None:
    """A unit of length that a line above or below a table sets for all of it, as metres; None where it sets none."""
    plain = fold(text)
    tokens = re.findall(r"[^\s,;:()\[\]{}=|]+", plain)
    tokens = [word for before, word in pairwise(("", *tokens)) if not _MANY.fullmatch(before)]  # "3 m behind the ball"
    if len({LENGTHS_M[bare] for token in tokens if (bare := token.strip(".!")) in _SAFE_FOR_LINES}) > 1:
        return None  # two units: it does not say which holds for the carry
    spoken = any(word in tokens or (ord(word[0]) > 0x2E80 and word in plain) for word in words.UNIT_CONTEXT)
    for token in tokens:
        bare = token.strip(".!")
        if bare in LENGTHS_M and bare not in _UNSAFE and (spoken or (bare in _SAFE_FOR_LINES and len(tokens) <= 3)):
            return LENGTHS_M[bare]
    bent = {metres for token in tokens if (metres := bent_unit(token.strip(".!")))}
    if len(bent) == 1 and (spoken or (len(tokens) <= MOST_WORDS and not any(c.isdigit() for c in plain))):
        return bent.pop()
    if spoken:
        for unit in ("ヤード", "メートル", "フィート", "야드", "미터", "码", "米"):
            if unit in plain:
                return LENGTHS_M[unit]
    return None


def speed_unit_from_physics(speeds: list[float], carries_m: list[float]) -> float | None:
    """The unit of ball speeds that bear none, from the carries beside them; None where the fit is poor.

    A wedge shot of 50 m leaves at about 26 m/s, and speed grows about with the square root of carry: the three units
    in use lie a factor 1.6 and more apart, well outside what shots differ by.
    """
    ratios = sorted(s / (26.3 * (c / 50) ** 0.48) for s, c in zip(speeds, carries_m, strict=True) if s > 0 and c > 5)
    if len(ratios) < 3:
        return None
    middle = ratios[len(ratios) // 2]
    unit = min((1.0, si.MPH_MPS, si.KMH_MPS), key=lambda u: abs(middle * u - 1))
    return unit if abs(middle * unit - 1) < 0.22 else None
