"""Units as they stand in headings, unit rows, cells and lines above a table."""

import re
from functools import lru_cache
from typing import Final, Literal

from threequarter.golf import units as si
from threequarter.intake.tables import words
from threequarter.intake.tables.decode import fold

Quantity = Literal["length", "speed", "angle", "spin"]

LENGTHS_M: Final[dict[str, float]] = {
    **dict.fromkeys("m m. м μ. متر metru metrów metrów metry metre metrin metriä μέτρα μετρα метр метров метры méter मीटर מטר เมตร mét mtr mtrs metre metres meter meters mètre mètres metro metros metri meters metern metrar メートル ﾒｰﾄﾙ 미터 米 公尺 mt mts".split(), 1.0),
    **dict.fromkeys("yd yds yd. yds. y ياردة ярд ярды ярдов jardy jardów yardy γιάρδες yarda yds jaardia jaardi jaardit יארד หลา yard yards yarda yardas iarda iarde iarda(e) jarda jardas ヤード 야드 码 碼 yrd yrds verge verges".split(), si.YARD_M),
    **dict.fromkeys("ft ft. foot feet ' ′ fuß fuss pied pieds pie pies piede piedi pé pés voet fot フィート 피트 英尺".split(), si.FOOT_M),
    **dict.fromkeys("cm centimetre centimetres centimeter centimeters zentimeter centimètre centimètres centimetro centimetros centimetri センチ センチメートル 厘米 센티미터".split(), 0.01),
    **dict.fromkeys('in in. inch inches " ″ zoll pouce pouces pulgada pulgadas pollici インチ'.split(), si.INCH_M),
}  # fmt: skip
SPEEDS_MPS: Final[dict[str, float]] = {
    **dict.fromkeys("mph mi/h mi./h miles/h miles/hour マイル/時 英里/小时".split(), si.MPH_MPS),
    **dict.fromkeys("km/h kmh kph km/std km/u km/t km/時 公里/小时 km/hr 킬로미터/시".split(), si.KMH_MPS),
    **dict.fromkeys("m/s ms m/sec m/sek mps m·s-1 ms-1 m.s-1 m/秒 米/秒 m/초".split(), 1.0),
    **dict.fromkeys("ft/s fps ft/sec".split(), si.FOOT_M),
    **dict.fromkeys("kn kt kts knots knoten".split(), si.KNOT_MPS),
}
ANGLES: Final = frozenset(
    "° º deg deg. degree degrees grad grado grados gradi degré degrés graus graden grader 度 도".split()
)
SPINS: Final = frozenset(
    "rpm r/min 1/min 1min u/min upm min-1 tr/min t/min giri/min giri/minuto rev/min revs/min o/min omw/min varv/min vpm v/min 回転/分 회전/분 转/分 rpm. /min rev./min".split()
)

LONGEST_UNIT: Final = 30
LONGEST_HEADING: Final = 200
"""Letters of a heading that are looked at; a longer text heads nothing."""
_UNSAFE: Final = frozenset(("in", "y", "'", '"', "′", "″", "pie", "pé", "mt", "vol", "米"))
"""Words of a line that are more often something else than a unit."""
_SAFE_FOR_LINES: Final = frozenset(u for u in LENGTHS_M if len(u) > 2 or u in ("yd", "ft", "米", "码"))


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
    return None


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
    spoken = any(word in tokens or (ord(word[0]) > 0x2E80 and word in plain) for word in words.UNIT_CONTEXT)
    for token in tokens:
        bare = token.strip(".!")
        if bare in LENGTHS_M and bare not in _UNSAFE and (spoken or (bare in _SAFE_FOR_LINES and len(tokens) <= 3)):
            return LENGTHS_M[bare]
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
