"""Twists of the content: columns that are no carry, other units, other labels, remarks, gaps."""

from typing import Any

from worlds.table_model import Column
from worlds.table_twists import Work, numbers, word
from worlds.table_words import CLUB_NAMES, SWING_STYLES, UNIT_WORDS, UNITS


def _decoy(
    work: Work, heading: str, values: list[Any], unit: str | None, word_: str, decimals: int, length: bool
) -> None:
    """A new column, most often before the carry."""
    columns = work.table.columns
    carry = next(n for n, c in enumerate(columns) if c.role == "carry")
    place = work.rng.randint(0, carry) if work.rng.random() < 0.7 else work.rng.randint(0, len(columns))
    columns.insert(place, Column("decoy", heading, values, unit, word_, decimals, length))


def deviation(work: Work) -> bool:
    carry = work.table.column("carry")
    rng = work.rng
    numbers_ = [v for v in carry.values if isinstance(v, float)]
    mean = sum(numbers_) / len(numbers_) if rng.random() < 0.5 else float(rng.choice((30, 40, 50)))
    heading = rng.choice(
        (
            "Dev. carry",
            "Carry diff",
            "+/- carry",
            "Off target carry",
            "Carry error",
            "Deviation",
            "Abw. Flug",
            "Carry minus plan",
        )
    )
    _decoy(work, heading, [round(v - mean, 1) for v in carry.values], carry.unit, carry.unit_word, 1, True)
    return True


def target(work: Work) -> bool:
    carry = work.table.column("carry")
    heading = work.rng.choice(
        ("Target", "Target carry", "Goal", "Planned carry", "Carry wanted", "Ziel Carry", "Aim", "Carry plan")
    )
    _decoy(
        work,
        heading,
        [float(5 * round(v / 5)) for v in carry.values],
        carry.unit,
        carry.unit_word,
        work.rng.choice((0, 1)),
        True,
    )
    return True


def last_carry(work: Work) -> bool:
    carry = work.table.column("carry")
    values = [None, *carry.values[:-1]]
    _decoy(
        work,
        work.rng.choice(("Last carry", "Previous carry", "Carry before", "Prev.", "Carry last ball")),
        values,
        carry.unit,
        carry.unit_word,
        1,
        True,
    )
    return True


def lateral_carry(work: Work) -> bool:
    if work.table.column("offline"):
        return False
    carry = work.table.column("carry")
    heading = work.rng.choice(("Carry lateral", "Carry side", "Carry offline", "Lateral carry", "Carry left/right"))
    values = [round(work.rng.gauss(0, 0.05) * v, 1) for v in carry.values]
    column = Column("offline", heading, values, carry.unit, carry.unit_word, 1, True)
    work.table.columns.insert(work.rng.randint(0, work.table.columns.index(carry)), column)
    return True


def rank(work: Work) -> bool:
    carry = work.table.column("carry")
    order = sorted(range(work.table.count), key=lambda i: -carry.values[i])
    values = [float(order.index(i) + 1) for i in range(work.table.count)]
    _decoy(work, work.rng.choice(("Rank", "Place", "Carry rank", "Rang")), values, None, "", 0, False)
    return True


def club_speed(work: Work) -> bool:
    speed = work.table.column("ball_speed")
    heading = work.rng.choice(("Club speed", "Head speed", "Clubhead velocity", "Tempo Schläger"))
    unit = speed.unit if speed else "mph"
    base = speed.values if speed else [round(work.rng.uniform(35, 75), 1) for _ in range(work.table.count)]
    values = [None if v is None else round(v / work.rng.uniform(1.05, 1.25), 1) for v in base]
    _decoy(work, heading, values, unit, UNIT_WORDS[unit][0], 1, False)
    return True


def everyday(work: Work) -> bool:
    """Running number, temperature, heart rate, price, time, date: numbers that are no distances."""
    rng, n = work.rng, work.table.count
    kinds = [
        ("Temp (°C)", [float(rng.randint(8, 24))] * n, 0),
        ("Pulse", [float(rng.randint(70, 130)) for _ in range(n)], 0),
        ("Price", [rng.choice((0.12, 0.15, 9.5))] * n, 2),
        ("Running no", [float(i + 1) for i in range(n)], 0),
        ("Time", [f"{9 + i // 60}:{i % 60:02d}" for i in range(n)], 0),
        ("Date", ["2026-05-0" + str(1 + i * 2 // n) for i in range(n)], 0),
        ("Feel 1-10", [float(rng.randint(3, 10)) for _ in range(n)], 0),
        ("Bucket", [float(1 + i // 20) for i in range(n)], 0),
    ]
    for heading, values, decimals in rng.sample(kinds, rng.randint(1, 3)):
        _decoy(work, heading, values, None, "", decimals, False)
    return True


def twin_unit(work: Work) -> bool:
    """The carry once more in the other unit, with the same heading."""
    carry = work.table.column("carry")
    if carry.unit not in ("yd", "m") or work.table.style.units not in ("heading", "row"):
        return False
    other = "m" if carry.unit == "yd" else "yd"
    values = numbers([v * UNITS[carry.unit] for v in carry.values], other, 1)
    work.table.columns.insert(
        work.rng.randint(0, len(work.table.columns)),
        Column("twin", carry.heading, values, other, UNIT_WORDS[other][0], 1, True),
    )
    return True


def convert(work: Work) -> bool:
    """All lengths in another unit, and the unit word with them."""
    carry = work.table.column("carry")
    if any(c.role == "twin" for c in work.table.columns):
        return False
    old, new = carry.unit, work.rng.choice([u for u in ("yd", "m", "ft") if u != carry.unit])
    for c in work.table.columns:
        if c.length:
            c.values = [None if v is None else float(round(v * UNITS[old] / UNITS[new], 1)) for v in c.values]
            c.unit, c.unit_word = new, UNIT_WORDS[new][0]
    return True


def labels(work: Work) -> bool:
    """Swing lengths and clubs get names of the player's own."""
    rng = work.rng
    for role, pool in (("swing", [x for s in SWING_STYLES for x in s]), ("club", [x for s in CLUB_NAMES for x in s])):
        column = work.table.column(role)
        if column is None or (role == "club" and rng.random() < 0.5):
            continue
        old = list(dict.fromkeys(column.values))
        if len(old) > len(pool):
            return False
        if len(old) <= 4:
            new = list(rng.choice(SWING_STYLES if role == "swing" else CLUB_NAMES))[: len(old)]
        else:
            new = rng.sample(pool, len(old))
        column.values = [dict(zip(old, new, strict=True))[v] for v in column.values]
    work.fair |= {"club", "swing"}
    return True


def remarks(work: Work) -> bool:
    """A column of remarks; the first balls may be warm-up balls."""
    if work.table.column("remark"):
        return False
    rng, n = work.rng, work.table.count
    values = [rng.choice(("", "", "", "good", "bit heavy", "thin", "nice", "toe")) for _ in range(n)]
    if rng.random() < 0.5:
        for i in range(min(3, n)):
            values[i] = "warm-up"
            work.table.use[i] = False
        work.fair.add("rows")
    work.table.columns.insert(
        rng.randint(0, len(work.table.columns)), Column("remark", word(work.language, "remark", rng), values)
    )
    return True


def gaps(work: Work) -> bool:
    """Cells other than carry and labels missing here and there."""
    hit = False
    for c in work.table.columns:
        if c.role in ("offline", "ball_speed", "launch", "spin", "total"):
            hit = True
            c.values = [None if work.rng.random() < 0.12 else v for v in c.values]
    return hit
