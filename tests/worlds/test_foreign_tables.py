"""The tables by others: written by their script, and true to their truth as far as a plain look can tell."""

import importlib.util
import json
import re
import sys
from pathlib import Path
from types import ModuleType

import openpyxl
import pytest

from worlds.table_judge import judge

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "tests" / "data" / "foreign_tables"
NAMES = sorted(p.stem for p in FOLDER.glob("*.json"))
ENCODINGS = {
    "f01": "cp1252",
    "f05": "cp1252",
    "f06": "cp1250",
    "f07": "cp1250",
    "f11": "cp1254",
    "f12": "cp1253",
    "f14": "cp949",
    "f15": "gb18030",
    "f18": "utf-16",
}
LENGTHS = (1.0, 0.9144, 0.3048, 0.01)
DIGITS = str.maketrans("٠١٢٣٤٥٦٧٨٩٫", "0123456789.") | {0xFF0E: "."} | {0xFF10 + n: str(n) for n in range(10)}


def truth_of(name: str) -> dict:
    return json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))


def file_of(name: str) -> Path:
    return next(p for p in FOLDER.glob(f"{name}.*") if p.suffix != ".json")


def load(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules[path.stem] = module
    spec.loader.exec_module(module)
    return module


def written(row: str) -> list[float]:
    """All numbers of a line, in every way in which they can be read."""
    plain = row.translate(DIGITS)
    texts = re.findall(r"\d+(?:[.,]\d+)?", plain) + re.findall(r"\d+\.\d+|\d+", plain)
    out = [float(t.replace(",", ".")) for t in texts] + [
        float(t.replace(",", "")) for t in re.findall(r"\d,\d{3}", plain)
    ]
    out += [int(t.replace(",", "")) / 1.0 for t in re.findall(r"\d{1,3}(?:,\d{3})+", plain)]
    return out + [(12 * int(f) + int(i)) / 12 for f, i in re.findall(r"(\d+)' (\d+)", plain)]


def lines_of(name: str) -> dict[str | None, list[str]]:
    path = file_of(name)
    if path.suffix == ".xlsx":
        book = openpyxl.load_workbook(path)
        return {
            s.title: [" ; ".join("" if c is None else str(c) for c in r) for r in s.iter_rows(values_only=True)]
            for s in book
        }
    text = path.read_bytes().decode(ENCODINGS.get(name, "utf-8-sig"), errors="replace")
    return {None: re.split(r"\r\n|\n", text)}


def test_there_are_sixty_and_the_script_writes_the_same_again(tmp_path):
    load(ROOT / "scripts" / "make_foreign_tables.py").write_all(tmp_path)
    assert len(NAMES) == 60
    for path in FOLDER.glob("f*"):
        assert (tmp_path / path.name).read_bytes() == path.read_bytes(), path.name


@pytest.mark.parametrize("name", [n for n in NAMES if n not in ("f38", "f39")])
def test_each_carry_stands_in_its_row_in_some_unit(name):
    lines = lines_of(name)
    for ball in truth_of(name)["balls"]:
        row = lines[ball["sheet"]][ball["row"] - 1]
        candidates = [n * f for n in written(row) for f in LENGTHS]
        assert any(abs(c - ball["carry_m"]) < 0.03 for c in candidates), (name, ball["row"], row)


@pytest.mark.parametrize("name", NAMES)
def test_the_truth_is_whole(name):
    truth = truth_of(name)
    assert truth["refuse"] == (not truth["balls"])
    assert bool(truth["ambiguous"]) == bool(truth["doubtful"])
    assert truth["ambiguous"] is None or truth["ambiguous"] in truth["answers"]
    assert truth["features"]
    places = [(b["sheet"], b["row"], b["col"], b["swing"]) for b in truth["balls"] if b["col"]]
    assert len(places) == len(set(places))
    for ball in truth["balls"]:
        assert 5 < ball["carry_m"] < 125
        assert ball["club"]
        assert ball["swing"]
    perfect = {
        "balls": truth["balls"],
        "set_aside": truth["set_aside_rows"],
        "questions": [{"about": truth["ambiguous"]}] if truth["ambiguous"] else [],
        "error": "No." if truth["refuse"] else None,
    }
    counts = judge(truth, perfect).counts
    assert counts["right"] + counts["covered"] == len(truth["balls"])
    assert not counts["invented"]


def test_the_scorer_of_the_open_tables_agrees_that_perfect_answers_are_perfect(tmp_path):
    score = load(ROOT / "tests" / "data" / "tables" / "score.py")
    score.write_oracle(FOLDER, tmp_path)
    total = score.report(FOLDER, tmp_path).splitlines()[-1]
    assert "(100.0 %), silently wrong 0, missing 0, false 0, needless questions 0" in total
