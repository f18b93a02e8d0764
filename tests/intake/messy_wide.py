"""Makes wide tables kept by hand and spreadsheets, with known truth, in the words of `messy.py`.

`python tests/intake/messy_wide.py FOLDER COUNT SEED` writes them; the test reads some of them.
"""

import csv
import datetime
import io
import json
import random
import sys
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from tests_support import load_module

messy = load_module("messy", Path(__file__).parent / "messy.py")
BALL = {"en": "ball", "de": "Ball", "fr": "balle", "es": "bola", "it": "palla", "sv": "boll", "nl": "bal", "ja": "球"}
PILE = {
    "en": "Middle of the pile",
    "de": "Haufenmitte",
    "fr": "milieu du tas",
    "es": "centro del montón",
    "it": "centro del mucchio",
    "sv": "högens mitt",
    "nl": "midden van de hoop",
    "ja": "山の中心",
}
COUNT = {
    "en": "Balls",
    "de": "Bälle",
    "fr": "balles",
    "es": "bolas",
    "it": "palline",
    "sv": "bollar",
    "nl": "ballen",
    "ja": "球数",
}
METRES = {"m": 1.0, "yd": 0.9144}


def ball(row: int, col: int | None, club: str, loft: Any, swing: str, carry_m: float, **more: Any) -> dict[str, Any]:
    empty = dict.fromkeys(("sheet", "player", "offline_m", "ball_speed_ms", "launch_deg", "backspin_rpm"))
    return {
        "row": row,
        "col": col,
        "club": club,
        "loft_deg": loft,
        "swing": swing,
        "carry_m": carry_m,
        "use": True,
        **empty,
        **more,
    }


def wide(rng: random.Random) -> tuple[str, bytes, dict[str, Any]]:
    """A column a ball, or a column a swing, as text."""
    lang = rng.choice(list(BALL))
    w = messy.LANGUAGES[lang]
    unit, mark, decimals = rng.choice(["m", "yd"]), rng.choice([".", ","]), rng.choice([0, 0, 1])
    clubs = messy.CLUBS[rng.choice(list(messy.CLUBS))]
    swings = rng.choice([w["swings"], ["8:00", "9:00", "10:00"], ["whisper", "talk", "shout"]])
    balls: list[dict[str, Any]] = []
    lines: list[list[str]] = [["Distances, by hand"]] if rng.random() < 0.5 else []
    player = rng.choice(messy.NAMES) if rng.random() < 0.5 else None
    if player:
        lines.append([f"{w['player']}: {player}"])
    told = rng.choice(["preamble", "corner", "none"])
    if told == "preamble":
        lines.append([w["all_in"].format(w["words"][unit])])
    if rng.random() < 0.5:
        lines.append([])
    corner = f"{w['carry']} ({unit})" if told == "corner" else w["carry"]

    def value(s: int) -> tuple[str, float]:
        carry = round(rng.uniform(25, 40) * (1 + 0.3 * s), decimals)
        return messy.number(carry, decimals, mark), carry * METRES[unit]

    style = rng.choice(["balls", "balls", "swing columns", "both columns", "two heads", "shots", "piles"])
    per = rng.randint(4, 8)
    if style == "balls":
        names = rng.choice([[f"{BALL[lang]} {k}" for k in range(1, per + 1)], [str(k) for k in range(1, per + 1)]])
        mean = [w["mean"]] if rng.random() < 0.5 else []
        heads = [f"{n} ({unit})" if told == "corner" else n for n in names]
        lines.append([w["club"], w["swing"], *heads, *mean])
        for club, loft in clubs.items():
            for s, swing in enumerate(swings):
                got = [value(s) for _ in range(rng.randint(per - 2, per))]
                lines.append([club, swing, *[t for t, _ in got], *[""] * (per - len(got)), *["40" for _ in mean]])
                balls += [ball(len(lines), 3 + k, club, loft, swing, m, player=player) for k, (_, m) in enumerate(got)]
    elif style == "swing columns":
        for club, loft in clubs.items():
            lines.append([f"{w['club']}: {club}"])
            lines.append([corner, *swings])
            for k in range(per):
                got = [value(s) for s in range(len(swings))]
                lines.append([str(k + 1), *[t for t, _ in got]])
                balls += [
                    ball(len(lines), 2 + s, club, loft, swings[s], m, player=player) for s, (_, m) in enumerate(got)
                ]
            lines.append([w["mean"], *["40" for _ in swings]])
            lines.append([])
    elif style == "two heads":
        gap = [""] * (len(swings) - 1)
        lines.append([corner, *[cell for club in clubs for cell in (club, *gap)]])
        lines.append(["", *[swing for _ in clubs for swing in swings]])
        shots = [(club, loft, s, swing) for club, loft in clubs.items() for s, swing in enumerate(swings)]
        for k in range(per):
            got = [value(s) for _, _, s, _ in shots]
            lines.append([str(k + 1), *[t for t, _ in got]])
            balls += [
                ball(len(lines), 2 + c, club, loft, swing, m, player=player)
                for c, ((club, loft, _, swing), (_, m)) in enumerate(zip(shots, got, strict=True))
            ]
    elif style == "shots":
        lines.append([w["swing"] if rng.random() < 0.5 else "", *[f"{BALL[lang]} {k + 1}" for k in range(per)]])
        if told == "corner":
            told = "none"
        for club, loft in clubs.items():
            for s, swing in enumerate(swings):
                got = [value(s) for _ in range(per)]
                lines.append([f"{club} / {swing}", *[t for t, _ in got]])
                balls += [ball(len(lines), 2 + k, club, loft, swing, m, player=player) for k, (_, m) in enumerate(got)]
    elif style == "piles":
        lines.append([w["club"], w["swing"], f"{PILE[lang]} ({unit})" if told == "corner" else PILE[lang], COUNT[lang]])
        for club, loft in clubs.items():
            for s, swing in enumerate(swings):
                text, carry_m = value(s)
                lines.append([club, swing, text, str(per)])
                balls.append(ball(len(lines), None, club, loft, swing, carry_m, player=player, count=per))
    else:
        shots = [(club, loft, s, swing) for club, loft in clubs.items() for s, swing in enumerate(swings)]
        lines.append([corner, *[f"{club} {swing}" for club, _, _, swing in shots]])
        for k in range(per):
            got = [value(s) for _, _, s, _ in shots]
            lines.append([f"{BALL[lang]} {k + 1}", *[t for t, _ in got]])
            balls += [
                ball(len(lines), 2 + c, club, loft, swing, m, player=player)
                for c, ((club, loft, _, swing), (_, m)) in enumerate(zip(shots, got, strict=True))
            ]
    out = io.StringIO()
    delimiter = rng.choice([";", "\t", "|", ","])
    csv.writer(out, delimiter=delimiter, lineterminator="\n").writerows(lines)
    return "made.csv", out.getvalue().encode(), _truth(balls, told == "none", [lang, style, told, delimiter, mark])


def book(rng: random.Random) -> tuple[str, bytes, dict[str, Any]]:
    """A spreadsheet: a sheet a club or one sheet; clock times as times, fractions as dates, labels merged."""
    lang = rng.choice(list(BALL))
    w = messy.LANGUAGES[lang]
    unit = rng.choice(["m", "yd"])
    workbook = Workbook()
    workbook.remove(workbook.active)
    clubs = messy.CLUBS[rng.choice(["letters", "number", "degree"])]
    spoilt = rng.choice(["times", "dates", "words"])
    swings = {"times": ["8:00", "9:00", "10:30"], "dates": ["1/2", "3/4"], "words": w["swings"]}[spoilt]
    typed = {"8:00": datetime.time(8), "9:00": datetime.time(9), "10:30": datetime.time(10, 30)}
    typed |= {"1/2": datetime.date(2026, 2, 1), "3/4": datetime.date(2026, 4, 3)}
    balls: list[dict[str, Any]] = []
    by_sheet, once, text_numbers = rng.random() < 0.5, rng.random() < 0.4, rng.random() < 0.3
    sheets = [(club, {club: loft}) for club, loft in clubs.items()] if by_sheet else [("Balls", clubs)]
    if rng.random() < 0.4:
        front = workbook.create_sheet("Summary")
        front.append([w["club"], w["swing"], f"{w['carry']}, {w['mean']}"])
        for club in clubs:
            front.append([club, "-", 41.5])
    for name, mine in sheets:
        sheet = workbook.create_sheet(name)
        row = 1
        if rng.random() < 0.5:
            sheet.cell(1, 1, "Distances 2026")
            row = 3
        heads = ["no", *([] if by_sheet else ["club"]), "swing", "carry", "side"]
        for c, head in enumerate(heads, 1):
            sheet.cell(row, c, f"{w[head]} ({unit})" if head in ("carry", "side") else w[head])
        count = 0
        for club, loft in mine.items():
            for s, swing in enumerate(swings):
                for k in range(rng.randint(2, 4)):
                    row += 1
                    count += 1
                    carry, side = round(rng.uniform(25, 40) * (1 + 0.3 * s), 1), round(rng.uniform(-5, 5), 1)
                    cells = {"no": count, "club": club, "swing": typed.get(swing, swing), "carry": carry, "side": side}
                    if text_numbers:
                        cells["carry"] = str(carry).replace(".", ",")
                    for c, head in enumerate(heads, 1):
                        if not (once and k and head in ("club", "swing")):
                            sheet.cell(row, c, cells[head])
                    balls.append(
                        ball(
                            row,
                            None,
                            club,
                            loft,
                            swing,
                            carry * METRES[unit],
                            sheet=name,
                            offline_m=side * METRES[unit],
                        )
                    )
                if rng.random() < 0.2:
                    row += 1
                    sheet.cell(row, 1, w["mean"])
                    sheet.cell(row, heads.index("carry") + 1, 41.2)
    out = io.BytesIO()
    workbook.save(out)
    told = [lang, spoilt, f"by_sheet {by_sheet}", f"once {once}", f"text {text_numbers}"]
    return "made.xlsx", out.getvalue(), _truth(balls, False, told)


def _truth(balls: list[dict[str, Any]], asked: bool, features: list[str]) -> dict[str, Any]:
    return {
        "balls": balls,
        "set_aside_rows": [],
        "ambiguous": "unit" if asked else None,
        "doubtful": ["carry_m", "offline_m"] if asked else [],
        "may_ask": ["player", "club", "swing", "rows", "sheet"],
        "refuse": False,
        "features": features,
    }


def make(seed: int) -> tuple[str, bytes, dict[str, Any]]:
    """A table's name, bytes and truth; every second one is a spreadsheet."""
    rng = random.Random(seed)
    return book(rng) if seed % 2 else wide(rng)


def main() -> None:
    folder, count, seed = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    folder.mkdir(parents=True, exist_ok=True)
    for i in range(count):
        name, content, truth = make(seed + i)
        (folder / f"t{i:04d}{Path(name).suffix}").write_bytes(content)
        (folder / f"t{i:04d}.json").write_text(json.dumps(truth, ensure_ascii=False), encoding="utf-8")


if __name__ == "__main__":
    main()
