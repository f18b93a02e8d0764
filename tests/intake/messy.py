"""Makes messy tables with known truth, in the form the scorer beside the open tables judges. All words are the trade's own.

`python tests/intake/messy.py FOLDER COUNT SEED` writes them; the test reads a few hundred of them.
"""

import csv
import io
import json
import random
import sys
from pathlib import Path
from typing import Any

LANGUAGES: dict[str, dict[str, Any]] = {
    "en": {
        "no": "No.",
        "club": "Club",
        "swing": "Swing",
        "player": "Player",
        "carry": "Carry",
        "side": "Offline",
        "speed": "Ball speed",
        "launch": "Launch angle",
        "spin": "Backspin",
        "total": "Total",
        "target": "Target carry",
        "note": "Note",
        "use": "Use",
        "drop": "Discard",
        "mean": "Average",
        "warm": "warm-up",
        "left": "L",
        "right": "R",
        "swings": ["waist", "chest", "shoulder", "full"],
        "unit": {"m": "m", "yd": "yd", "ft": "ft"},
        "all_in": "All distances in {}",
        "words": {"m": "metres", "yd": "yards", "ft": "feet"},
    },
    "de": {
        "no": "Nr.",
        "club": "Schläger",
        "swing": "Schwung",
        "player": "Spieler",
        "carry": "Carry",
        "side": "Seite",
        "speed": "Ballgeschwindigkeit",
        "launch": "Startwinkel",
        "spin": "Backspin",
        "total": "Gesamt",
        "target": "Ziel",
        "note": "Bemerkung",
        "use": "Verwenden",
        "drop": "Löschen",
        "mean": "Mittelwert",
        "warm": "Aufwärmen",
        "left": "L",
        "right": "R",
        "swings": ["Hüfte", "Brust", "Schulter", "voll"],
        "unit": {"m": "m", "yd": "yd", "ft": "ft"},
        "all_in": "Alle Entfernungen in {}",
        "words": {"m": "Meter", "yd": "Yards", "ft": "Fuß"},
    },
    "fr": {
        "no": "n°",
        "club": "Club",
        "swing": "Swing",
        "player": "Joueur",
        "carry": "Portée",
        "side": "Latéral",
        "speed": "Vitesse de balle",
        "launch": "Angle de lancement",
        "spin": "Backspin",
        "total": "Total",
        "target": "Cible",
        "note": "Remarque",
        "use": "Garder",
        "drop": "Supprimer",
        "mean": "Moyenne",
        "warm": "échauffement",
        "left": "G",
        "right": "D",
        "swings": ["taille", "poitrine", "épaule", "plein"],
        "unit": {"m": "m", "yd": "yd", "ft": "ft"},
        "all_in": "Toutes les distances en {}",
        "words": {"m": "mètres", "yd": "yards", "ft": "pieds"},
    },
    "es": {
        "no": "Nº",
        "club": "Palo",
        "swing": "Swing",
        "player": "Jugador",
        "carry": "Vuelo",
        "side": "Lateral",
        "speed": "Velocidad de bola",
        "launch": "Ángulo de salida",
        "spin": "Backspin",
        "total": "Total",
        "target": "Objetivo",
        "note": "Nota",
        "use": "Usar",
        "drop": "Descartar",
        "mean": "Media",
        "warm": "calentamiento",
        "left": "I",
        "right": "D",
        "swings": ["cintura", "pecho", "hombro", "completo"],
        "unit": {"m": "m", "yd": "yd", "ft": "ft"},
        "all_in": "Distancias en {}",
        "words": {"m": "metros", "yd": "yardas", "ft": "pies"},
    },
    "it": {
        "no": "N.",
        "club": "Bastone",
        "swing": "Swing",
        "player": "Giocatore",
        "carry": "Volo",
        "side": "Laterale",
        "speed": "Velocità palla",
        "launch": "Angolo di lancio",
        "spin": "Backspin",
        "total": "Totale",
        "target": "Obiettivo",
        "note": "Nota",
        "use": "Usare",
        "drop": "Scartare",
        "mean": "Media",
        "warm": "riscaldamento",
        "left": "S",
        "right": "D",
        "swings": ["vita", "petto", "spalla", "completo"],
        "unit": {"m": "m", "yd": "yd", "ft": "ft"},
        "all_in": "Tutte le distanze in {}",
        "words": {"m": "metri", "yd": "iarde", "ft": "piedi"},
    },
    "sv": {
        "no": "Nr",
        "club": "Klubba",
        "swing": "Sving",
        "player": "Spelare",
        "carry": "Carry",
        "side": "Sida",
        "speed": "Bollhastighet",
        "launch": "Utgångsvinkel",
        "spin": "Backspin",
        "total": "Totalt",
        "target": "Mål",
        "note": "Anteckning",
        "use": "Använd",
        "drop": "Stryk",
        "mean": "Medel",
        "warm": "uppvärmning",
        "left": "V",
        "right": "H",
        "swings": ["höft", "bröst", "axel", "full"],
        "unit": {"m": "m", "yd": "yd", "ft": "ft"},
        "all_in": "Alla avstånd i {}",
        "words": {"m": "meter", "yd": "yards", "ft": "fot"},
    },
    "nl": {
        "no": "Nr",
        "club": "Club",
        "swing": "Swing",
        "player": "Speler",
        "carry": "Carry",
        "side": "Zijwaarts",
        "speed": "Balsnelheid",
        "launch": "Lanceerhoek",
        "spin": "Backspin",
        "total": "Totaal",
        "target": "Doel",
        "note": "Opmerking",
        "use": "Gebruiken",
        "drop": "Verwijderen",
        "mean": "Gemiddelde",
        "warm": "opwarmen",
        "left": "L",
        "right": "R",
        "swings": ["heup", "borst", "schouder", "vol"],
        "unit": {"m": "m", "yd": "yd", "ft": "ft"},
        "all_in": "Alle afstanden in {}",
        "words": {"m": "meter", "yd": "yards", "ft": "voet"},
    },
    "ja": {
        "no": "番号",
        "club": "クラブ",
        "swing": "スイング",
        "player": "選手",
        "carry": "キャリー",
        "side": "左右",
        "speed": "ボール速度",
        "launch": "打ち出し角",
        "spin": "バックスピン",
        "total": "トータル",
        "target": "目標キャリー",
        "note": "備考",
        "use": "使用",
        "drop": "除外",
        "mean": "平均",
        "warm": "ウォームアップ",
        "left": "左",
        "right": "右",
        "swings": ["腰", "胸", "肩", "フル"],
        "unit": {"m": "m", "yd": "yd", "ft": "ft"},
        "all_in": "距離の単位: {}",
        "words": {"m": "メートル", "yd": "ヤード", "ft": "フィート"},
    },
}
CLUBS = {
    "letters": {"SW 54": 54, "LW 60": 60, "GW 50": 50},
    "number": {"48": 48, "54": 54, "58": 58},
    "degree": {"50°": 50, "56°": 56},
    "slash": {"52/12": 52, "56/14": 56},
    "dot": {"54.10": 54, "60.08": 60},
    "names": {"sand wedge": None, "lob wedge": None},
}
METRES = {"m": 1.0, "yd": 0.9144, "ft": 0.3048}
SPEED = {"m/s": 1.0, "mph": 0.44704, "km/h": 1 / 3.6}
NAMES = ["Mona Applegarth", "Oskar Quillfeather", "Tilda Vornbach"]


def number(value: float, decimals: int, mark: str, group: str = "") -> str:
    text = f"{value:,.{decimals}f}"
    return text.replace(",", "\0").replace(".", mark).replace("\0", group)


class Maker:
    """One table: the choices, the rows as cells, and the truth of each ball."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.lang = rng.choice(list(LANGUAGES))
        self.words = LANGUAGES[self.lang]
        self.unit = rng.choice(["m", "yd", "m", "yd", "ft"])
        self.mark = rng.choice([".", ","])
        self.delimiter = rng.choice([";", "\t", "|", ";", ","] + (["spaces"] if self.lang != "ja" else []))
        self.decimals = rng.choice([0, 1, 1, 2])
        self.units = rng.choice(["paren", "paren", "comma", "bare", "row", "cell", "preamble", "none"])
        self.clubs = CLUBS[rng.choice(list(CLUBS))]
        self.swings = rng.choice(
            [self.words["swings"], ["8:00", "9:00", "10:00"], ["50 %", "75 %", "100 %"], ["whisper", "talk", "shout"]]
        )
        self.player_by = rng.choice(["column", "section", "preamble", "none"])
        self.club_by = rng.choice(["column", "column", "section", "preamble"])
        self.side_by = rng.choice(["signed", "letter", "none", "left_plus", "letter_first"])
        self.speed_unit = rng.choice([*SPEED, None])
        self.mark_use = rng.choice(["none", "use", "drop", "warm"])
        self.once = rng.random() < 0.25 and self.delimiter != "spaces"
        self.grouped = rng.choice(["", ".", ",", " "]) if self.mark == "," else rng.choice(["", ","])
        self.lines: list[list[str]] = []
        self.balls: list[dict[str, Any]] = []
        self.aside: list[dict[str, Any]] = []

    def heading(self, word: str, unit: str) -> str:
        if self.units in ("row", "cell", "preamble", "none") and unit in METRES:
            return word
        if self.units == "row" or not unit:
            return word
        style = self.units if self.units in ("paren", "comma", "bare") else "paren"
        return {"paren": f"{word} ({unit})", "comma": f"{word}, {unit}", "bare": f"{word} {unit}"}[style]

    def columns(self) -> list[str]:
        found = ["no", "carry"]
        if self.player_by == "column":
            found.append("player")
        if self.club_by == "column":
            found.append("club")
        found.append("swing")
        if self.side_by != "none":
            found.append("side")
        for name in ("total", "target", "launch", "spin"):
            if self.rng.random() < 0.4:
                found.append(name)
        if self.speed_unit:
            found.append("speed")
        if self.mark_use in ("use", "drop"):
            found.append(self.mark_use)
        if self.mark_use == "warm" or self.rng.random() < 0.3:
            found.append("note")
        head, rest = found[:1], found[1:]
        self.rng.shuffle(rest)
        if "note" in rest:
            rest.remove("note")
            rest.append("note")
        return head + rest

    def make(self) -> None:
        rng, w = self.rng, self.words
        columns = self.columns()
        players = [None] if self.player_by == "none" else rng.sample(NAMES, 1 if self.player_by == "preamble" else 2)
        clubs = list(self.clubs)[:1] if self.club_by == "preamble" else list(self.clubs)
        if rng.random() < 0.4:
            self.lines.append(["Distance session 3"])
        if self.player_by == "preamble":
            self.lines.append([f"{w['player']}: {players[0]}"])
        if self.club_by == "preamble":
            self.lines.append([f"{w['club']}: {clubs[0]}"])
        if self.units == "preamble":
            self.lines.append([w["all_in"].format(w["words"][self.unit])])
        if self.side_by == "left_plus":
            self.lines.append(
                [
                    f"{w['side']}: {'links' if self.lang in ('de', 'nl') else {'ja': '左', 'fr': 'gauche', 'es': 'izquierda', 'it': 'sinistra', 'sv': 'vänster'}.get(self.lang, 'left')} +"
                ]
            )
        if rng.random() < 0.4:
            self.lines.append([])
        unit_of = {
            "carry": self.unit,
            "side": self.unit,
            "total": self.unit,
            "target": self.unit,
            "launch": "°",
            "spin": "rpm",
            "speed": self.speed_unit or "",
        }
        head = [self.heading(w[c], unit_of.get(c, "")) for c in columns]
        self.lines.append(head)
        if self.units == "row":
            self.lines.append([unit_of.get(c, "") for c in columns])
        count = 0
        for player in players:
            if self.player_by == "section":
                self.lines.append([f"{w['player']}: {player}"])
            for club in clubs:
                if self.club_by == "section":
                    self.lines.append(
                        [f"{w['club']}: {club}" if rng.random() < 0.5 or self.clubs[club] is None else club]
                    )
                for s, swing in enumerate(self.swings):
                    for k in range(rng.randint(2, 4)):
                        count += 1
                        self.row(columns, player, club, swing, s, count, k > 0)
                if rng.random() < 0.3:
                    self.lines.append(
                        [
                            w["mean"] if c == "swing" else number(40, self.decimals, self.mark) if c == "carry" else ""
                            for c in columns
                        ]
                    )
            if rng.random() < 0.2:
                self.lines.append(head)

    def row(
        self, columns: list[str], player: str | None, club: str, swing: str, s: int, count: int, again: bool
    ) -> None:
        rng, w = self.rng, self.words
        carry_m = rng.uniform(28, 40) * (1 + 0.35 * s)
        written = round(carry_m / METRES[self.unit], self.decimals)
        side = round(rng.uniform(-6, 6), 1)
        spin, launch = rng.randint(5000, 9900), round(rng.uniform(24, 36), 1)
        speed = round(26.3 * (carry_m / 50) ** 0.48 / SPEED[self.speed_unit], 1) if self.speed_unit else None
        use, damaged = True, rng.random() < 0.02
        cells = dict.fromkeys(columns, "")
        tail = f" {self.unit}" if self.units == "cell" else ""
        cells["no"] = str(count)
        cells["carry"] = "lost" if damaged else number(written, self.decimals, self.mark) + tail
        cells["swing"] = swing
        for name, value in (("player", player), ("club", club)):
            if name in cells and not (self.once and again):
                cells[name] = value or ""
        if "side" in cells:
            text = number(abs(side), 1, self.mark) + tail
            letter = w["right"] if side >= 0 else w["left"]
            sign = "-" if side < 0 else ""
            flipped = "-" if side > 0 else ""
            cells["side"] = {
                "signed": sign + text,
                "letter": f"{text} {letter}",
                "letter_first": f"{letter} {text}",
                "left_plus": flipped + text,
            }[self.side_by]
        if "total" in cells:
            cells["total"] = number(written * 1.08, self.decimals, self.mark) + tail
        if "target" in cells:
            cells["target"] = number(round(written / 5) * 5, 0, self.mark) + tail
        if "launch" in cells:
            cells["launch"] = number(launch, 1, self.mark)
        if "spin" in cells:
            cells["spin"] = number(spin, 0, self.mark, self.grouped)
        if "speed" in cells:
            cells["speed"] = number(speed or 0, 1, self.mark)
        if self.mark_use in ("use", "drop"):
            use = rng.random() > 0.15
            cells[self.mark_use] = {"use": "1" if use else "0", "drop": "" if use else "x"}[self.mark_use]
        elif self.mark_use == "warm" and count <= 3:
            cells["note"], use = w["warm"], False
        self.lines.append([cells[c] for c in columns])
        line = len(self.lines)
        if damaged:
            self.aside.append({"row": line, "sheet": None, "why": "no number"})
            return
        self.balls.append(
            {
                "row": line,
                "sheet": None,
                "col": None,
                "player": player,
                "club": club,
                "loft_deg": self.clubs[club],
                "swing": swing,
                "carry_m": written * METRES[self.unit],
                "offline_m": side * METRES[self.unit] if "side" in cells else None,
                "ball_speed_ms": speed * SPEED[self.speed_unit] if speed and self.speed_unit else None,
                "launch_deg": launch if "launch" in cells else None,
                "backspin_rpm": spin if "spin" in cells else None,
                "use": use,
            }
        )

    def text(self) -> str:
        end = self.rng.choice(["\n", "\r\n", "\r"])
        if self.delimiter == "spaces":
            width = max(map(len, self.lines))
            widths = [
                max((len(line[i]) for line in self.lines if len(line) > max(i, 1)), default=0) for i in range(width)
            ]
            return end.join(
                line[0]
                if len(line) == 1
                else "  ".join(c.ljust(n) for c, n in zip(line, widths, strict=False)).rstrip()
                for line in self.lines
            )
        out = io.StringIO()
        writer = csv.writer(out, delimiter=self.delimiter, lineterminator=end)
        for line in self.lines:
            writer.writerow(line)
        return out.getvalue()

    def truth(self) -> dict[str, Any]:
        asked = "unit" if self.units == "none" else None
        doubtful = ["carry_m", "offline_m"] if asked else []
        return {
            "balls": self.balls,
            "set_aside_rows": self.aside,
            "ambiguous": asked,
            "doubtful": doubtful,
            "may_ask": ["player", "club", "swing", "rows"],
            "refuse": False,
            "features": sorted(self.features()),
        }

    def features(self) -> list[str]:
        return [
            f"{k}: {getattr(self, k)}"
            for k in (
                "lang",
                "unit",
                "mark",
                "delimiter",
                "units",
                "player_by",
                "club_by",
                "side_by",
                "mark_use",
                "once",
                "grouped",
            )
        ]


def make(seed: int) -> tuple[bytes, dict[str, Any]]:
    """A table's bytes and its truth."""
    rng = random.Random(seed)
    maker = Maker(rng)
    maker.make()
    encodings = ["utf-8", "utf-8-sig", "utf-16", *{"ja": ["shift_jis"]}.get(maker.lang, ["cp1252"])]
    return maker.text().encode(rng.choice(encodings)), maker.truth()


def main() -> None:
    folder, count, seed = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    folder.mkdir(parents=True, exist_ok=True)
    for i in range(count):
        content, truth = make(seed + i)
        (folder / f"t{i:04d}.csv").write_bytes(content)
        (folder / f"t{i:04d}.json").write_text(json.dumps(truth, ensure_ascii=False), encoding="utf-8")


if __name__ == "__main__":
    main()
