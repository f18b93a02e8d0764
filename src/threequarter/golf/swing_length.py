"""Swing lengths as players name them: body levels, clock times, fractions, or names of their own."""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

Kind = Literal["level", "clock", "fraction", "full", "own"]
Clock = Literal["camera", "other"]


REACH: Final[dict[str, float]] = {"knee": 0.37, "waist": 0.50, "chest": 0.62, "shoulder": 0.78, "full": 1.0}
"""Carry as a share of a full swing's; hip, belt and waist are one level. Common practice, no source: waist about half, chest about 0.6, shoulder a
little under 0.8."""

CARRY_PER_DEGREE: Final = 0.0066
"""Share of a full carry per degree of the lead arm from straight down: 9 o'clock about 0.6. Common practice, no source."""

LEVEL_WORDS: Final[dict[str, tuple[str, ...]]] = {
    "knee": (
        "knee",
        "knees",
        "knie",
        "genou",
        "genoux",
        "rodilla",
        "rodillas",
        "ginocchio",
        "ginocchia",
        "knä",
        "knän",
        "joelho",
        "膝",
        "ひざ",
        "무릎",
        "膝盖",
    ),
    "waist": (
        "waist",
        "hip",
        "hips",
        "belt",
        "hüfte",
        "huefte",
        "hüft",
        "taille",
        "gürtel",
        "hanche",
        "hanches",
        "ceinture",
        "cintura",
        "cadera",
        "caderas",
        "anca",
        "anche",
        "fianco",
        "fianchi",
        "vita",
        "heup",
        "heupen",
        "höft",
        "höfter",
        "midja",
        "quadril",
        "腰",
        "こし",
        "腰高",
        "허리",
        "엉덩이",
    ),
    "chest": (
        "chest",
        "rib",
        "ribs",
        "brust",
        "poitrine",
        "pecho",
        "petto",
        "torace",
        "borst",
        "bröst",
        "peito",
        "胸",
        "むね",
        "가슴",
    ),
    "shoulder": (
        "shoulder",
        "shoulders",
        "schulter",
        "schultern",
        "épaule",
        "épaules",
        "epaule",
        "hombro",
        "hombros",
        "spalla",
        "spalle",
        "schouder",
        "schouders",
        "axel",
        "axlar",
        "ombro",
        "ombros",
        "肩",
        "かた",
        "어깨",
    ),
    "full": (
        "full",
        "voll",
        "voller",
        "ganz",
        "complet",
        "complète",
        "plein",
        "pleine",
        "completo",
        "completa",
        "lleno",
        "pieno",
        "piena",
        "intero",
        "vol",
        "volle",
        "volledig",
        "hel",
        "full swing",
        "vollschwung",
        "cheio",
        "cheia",
        "フル",
        "フルスイング",
        "全",
        "풀",
        "풀스윙",
        "全挥杆",
    ),
}
_LEVEL_OF: Final[dict[str, str]] = {word: level for level, words in LEVEL_WORDS.items() for word in words}
_FRACTION_WORDS: Final[dict[str, float]] = {
    "half": 0.5,
    "halb": 0.5,
    "halber": 0.5,
    "demi": 0.5,
    "media": 0.5,
    "medio": 0.5,
    "mezzo": 0.5,
    "mezza": 0.5,
    "halve": 0.5,
    "halv": 0.5,
    "meia": 0.5,
    "quarter": 0.25,
    "viertel": 0.25,
    "quart": 0.25,
    "cuarto": 0.25,
    "quarto": 0.25,
    "kwart": 0.25,
    "third": 1 / 3,
    "drittel": 1 / 3,
    "tiers": 1 / 3,
    "three quarter": 0.75,
    "three-quarter": 0.75,
    "three quarters": 0.75,
    "dreiviertel": 0.75,
    "trois quarts": 0.75,
    "tres cuartos": 0.75,
    "tre quarti": 0.75,
    "driekwart": 0.75,
    "trekvart": 0.75,
    "ハーフ": 0.5,
    "하프": 0.5,
}
_JOIN = re.compile(r"\s*(?:\bto\b|\bbis\b|\bzu\b|\bà\b|\ba\b|\btot\b|\btill\b|->|→|から|-|–)\s*")
_CLOCK = re.compile(
    r"^(?P<hour>\d{1,2})(?:[:.h](?P<minute>\d{2})?)?(?::00)?\s*"
    r"(?P<word>o'?\s?clock|o’clock|uhr|heures?|h|ore|horas?|uur|klockan|kl\.?|時|시|点|點)?$"
)
_PREFIX = re.compile(r"^(?:kl\.?|klockan|le|las|alle|um)\s+")
_PARTS = re.compile(r"^(\d)\s*/\s*(\d)$")
_PERCENT = re.compile(r"^(\d{1,3})\s*(?:%|percent|prozent|pour cent)$")
_NOISE = re.compile(r"\b(?:swing|swings|schwung|high|hoch|height|höhe|länge|level)\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class SwingLength:
    """A swing length as written. `key` is the same for all spellings of one length; `reach` is the usual share of a
    full swing's carry, None for a player's own name; `hour` is the clock time of the lead arm going back."""

    label: str
    key: str
    kind: Kind
    reach: float | None
    hour: float | None = None

    @property
    def order(self) -> tuple[float, str]:
        """Sorts from short to long; own names come last."""
        return (self.reach if self.reach is not None else 9.0, self.key)


@lru_cache(maxsize=4096)
def parse_swing(label: str, clock: Clock = "camera") -> SwingLength:
    """What a label tells. `clock="other"` is for players who count the other way round (back 5, 4, 3 for 7, 8, 9).

    >>> parse_swing("9 o'clock").key == parse_swing("9:00").key == parse_swing("9時").key
    True
    >>> parse_swing("waist to waist").key
    'waist'
    """
    text = unicodedata.normalize("NFKC", str(label)).replace("⁄", "/").casefold().strip()
    plain = " ".join(_NOISE.sub(" ", text).split()) or text
    return _clock_time(label, plain, clock) or _level(label, plain) or _fraction(label, plain) or _own(label, text)


def _clock_time(label: str, text: str, clock: Clock) -> SwingLength | None:
    match = _CLOCK.match(_PREFIX.sub("", text))
    if not match:
        return None
    bare = not (match["word"] or match["minute"] or ":" in text or "h" in text) and _PREFIX.sub("", text) == text
    if bare and not 6 < int(match["hour"]) <= 12:
        return None
    hour = int(match["hour"]) + int(match["minute"] or 0) / 60
    back = 12 - hour if clock == "other" else hour
    if not 6 <= back <= 12.5:
        return SwingLength(label=label, key=f"clock {hour:g}", kind="clock", reach=None)
    return SwingLength(label=label, key=f"clock {back:g}", kind="clock", reach=_clock_reach(back), hour=back)


def _clock_reach(hour: float) -> float:
    """Share of a full carry for a lead arm at an hour: 9 (arm level) about a waist-to-chest swing, 11 near full."""
    return float(min(1.0, CARRY_PER_DEGREE * 30 * (hour - 6)))


def _level(label: str, text: str) -> SwingLength | None:
    parts = [part for part in _JOIN.split(text) if part]
    levels = {_LEVEL_OF.get(part) or _LEVEL_OF.get(part.rstrip("s")) for part in parts or [text]}
    whole = _LEVEL_OF.get(text)
    if whole is None and (len(levels) != 1 or None in levels):
        return None
    level = whole or str(levels.pop())
    return SwingLength(label=label, key=level, kind="full" if level == "full" else "level", reach=REACH[level])


def _fraction(label: str, text: str) -> SwingLength | None:
    share = _FRACTION_WORDS.get(text)
    if match := _PARTS.match(text):
        share = int(match[1]) / int(match[2]) if int(match[2]) else None
    elif match := _PERCENT.match(text):
        share = int(match[1]) / 100
    if share is None or not 0 < share <= 1.1:
        return None
    return SwingLength(label=label, key=f"share {share:.3g}", kind="fraction", reach=min(1.0, share))


def _own(label: str, text: str) -> SwingLength:
    return SwingLength(label=label, key=text, kind="own", reach=None)
