"""The sign that the keys draw is the one of the prints and pages: the same shapes for the same length."""

import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from threequarter.paper.pictures import sign as drawn
from threequarter.web.signs import arms

STATIC = Path(__file__).parents[2] / "src/threequarter/web/static"
NAMES = ("knee", "waist", "Hüfte", "chest", "shoulder", "full", "9:00", "10:30", "9 o'clock", "half", "whisper")
DRAWS = """
import { armOf, shapes } from "%s";
const [names, known] = JSON.parse(process.argv[1]);
const text = ([tag, values]) => `<${tag} ${Object.entries(values).map(([name, value]) => `${name}="${value}"`).join(" ")}/>`;
console.log(JSON.stringify(names.map((name) => [24, 44].map((size) => shapes(armOf(name, known), size <= 26).map(text)))));
"""


def parts(svg: str) -> list[dict[str, str]]:
    """Each shape by its attributes; numbers as they are rounded."""
    found = []
    for tag, rest in re.findall(r"<(path|circle) ([^>]*)/>", svg):
        values = dict(re.findall(r'([\\w-]+)="([^"]*)"', rest))
        found.append({"tag": tag} | {name: re.sub(r"-0\\.0\\b", "0.0", value) for name, value in values.items()})
    return found


@pytest.mark.skipif(shutil.which("node") is None, reason="NOT TESTED HERE: node is not installed")
@pytest.mark.parametrize("planned", [True, False], ids=["of a day", "of a phone alone"])
def test_keys_and_prints_draw_the_same_sign(planned: bool) -> None:
    names = (
        NAMES if planned else [name for name in NAMES if name != "half"]
    )  # a share is drawn where the server knows it
    known = arms(names if planned else ())
    script = DRAWS % (STATIC / "sign.js").as_uri()
    command = ["node", "--input-type=module", "-e", script, json.dumps([list(names), known])]
    told = json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
    for name, (small, large) in zip(names, told, strict=True):
        for size, shapes in ((24, small), (44, large)):
            mine = parts(drawn.sign(drawn.arm_of(name), size))
            assert parts("".join(shapes)) == mine, (name, size)
            assert len(mine) >= 2
