"""The pocket card: both ways in, everything fits, same input same bytes."""

import io
import subprocess
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from tests_support import SHOTS, chart_by_hand
from threequarter.chart.fit import fit_chart
from threequarter.chart.meaning import meaning
from threequarter.chart.result import Chart
from threequarter.golf.ball import Ball
from threequarter.golf.units import YARD_M
from threequarter.paper.card import CardDetails, pocket_card
from threequarter.paper.pictures.chart_picture import chart_picture, sentence
from threequarter.paper.pictures.ladder_picture import ladder_picture
from threequarter.paper.typesetting import count_pages

MM = 72 / 25.4


def bucket(clubs: dict[str, float], swings: dict[str, float], balls: int = 3) -> list[Ball]:
    rng = np.random.default_rng(1)
    made = []
    for club, loft in clubs.items():
        for swing, reach in swings.items():
            for _ in range(balls):
                carry = 100 * YARD_M * reach * np.exp(-0.03 * (loft - 46) + 0.05 * rng.normal())
                made.append(Ball(number=len(made) + 1, club=club, loft_deg=loft, swing=swing, distance_m=float(carry)))
    return made


@pytest.fixture(scope="module")
def small() -> Chart:
    return fit_chart(bucket({"50": 50, "56": 56}, {"waist": 0.5, "chest": 0.62, "full": 1.0}))


def text(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def test_the_card_has_both_ways_in_with_doubt_and_unit(small: Chart) -> None:
    said = text(
        pocket_card(
            small, CardDetails(player="Robin Sedge", date="2026-04-18", ball="range ball", air="16 °C"), unit="yd"
        )
    )
    for words in (
        "Robin Sedge",
        "yards of carry",
        "nine good balls in ten",
        "far",
        "±",
        "18 balls",
        "range ball",
        "16 °C",
        "2026-04-18",
        "Rule 4.3a",
    ):
        assert words in said
    for cell in small.cells:
        assert str(round(cell.stock_carry_m / YARD_M)) in said


def test_metres_are_said_and_used(small: Chart) -> None:
    said = text(pocket_card(small, CardDetails(), unit="m"))
    assert "metres" in said
    assert str(round(small.cells[0].stock_carry_m)) in said


def test_the_same_input_gives_the_same_bytes(small: Chart) -> None:
    details = CardDetails(player="Robin Sedge")
    assert pocket_card(small, details) == pocket_card(small, details)


def test_a_pocket_side_is_seventy_four_by_a_hundred_and_five(small: Chart) -> None:
    box = PdfReader(io.BytesIO(pocket_card(small, CardDetails()))).pages[0].mediabox
    assert (float(box.width) / MM, float(box.height) / MM) == pytest.approx((74, 105), abs=0.1)


@pytest.mark.parametrize(("sheet", "size"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_a_sheet_holds_four_cards(small: Chart, sheet: str, size: tuple[float, float]) -> None:
    pdf = pocket_card(small, CardDetails(player="Robin Sedge"), sheet=sheet)  # type: ignore[arg-type]
    page = PdfReader(io.BytesIO(pdf)).pages[0]
    assert (float(page.mediabox.width) / MM, float(page.mediabox.height) / MM) == pytest.approx(size, abs=0.2)
    assert count_pages(pdf) == 2


def ink_at_the_edges(pdf: bytes, folder: Path) -> float:
    """The darkest ink within 2 mm of any edge of any page, 0 none to 1 black."""
    (folder / "card.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", "100", "-gray", str(folder / "card.pdf"), str(folder / "side")], check=True)
    darkest = 0.0
    for image in folder.glob("side*.pgm"):
        header, rest = image.read_bytes().split(b"\n255\n", 1)
        width, height = map(int, header.split()[1:3])
        pixels = np.frombuffer(rest, dtype=np.uint8).reshape(height, width)
        edge = 7
        rim = np.concatenate(
            [pixels[:edge].ravel(), pixels[-edge:].ravel(), pixels[:, :edge].ravel(), pixels[:, -edge:].ravel()]
        )
        darkest = max(darkest, 1 - rim.min() / 255)
    return darkest


def test_five_wedges_eight_times_and_long_names_spill_over_and_nothing_is_cut(tmp_path: Path) -> None:
    clubs = {"PW 46": 46.0, "gap wedge 50 with a name": 50.0, "54": 54.0, "58": 58.0, "62": 62.0}
    swings = {f"{7 + k // 2}:{30 * (k % 2):02d}": 0.3 + 0.09 * k for k in range(8)}
    chart = fit_chart(bucket(clubs, swings))
    details = CardDetails(player="A very long name indeed " * 12 + "x" * 60, ball="y" * 90, air="warm " * 40)
    pdf = pocket_card(chart, details)
    said = " ".join(text(pdf).split())
    for cell in chart.cells:
        assert str(round(cell.stock_carry_m / YARD_M)) in said
    assert count_pages(pdf) > 2
    assert ink_at_the_edges(pdf, tmp_path) == 0


@pytest.mark.parametrize("name", ["שלום עולם", "Zoë 😀 Brandt", '#eval(read("main.typ"))', "<b>&amp;</b> \\ $x$"])
def test_odd_names_are_text_and_nothing_else(small: Chart, name: str, tmp_path: Path) -> None:
    pdf = pocket_card(small, CardDetails(player=name))
    assert count_pages(pdf) == 2
    assert "sys.inputs" not in text(pdf)
    assert ink_at_the_edges(pdf, tmp_path) == 0


def test_an_emoji_in_a_name_is_printed_as_its_name(small: Chart) -> None:
    said = " ".join(text(pocket_card(small, CardDetails(player="Wren 🏌️\u200d♀️ 👍🏽"))).split())
    assert "Wren (golfer) (thumbs up sign)" in said


def test_pictures_name_every_shot_and_say_what_they_show(small: Chart) -> None:
    balls = bucket({"50": 50, "56": 56}, {"waist": 0.5, "chest": 0.62, "full": 1.0})
    for width in (360, 760):
        picture = chart_picture(small, balls, "yd", width=width)
        assert picture.count("<circle") >= 20 * len(small.cells)
        assert sentence(small, "yd") in picture.replace("&#x27;", "'")
        assert "chest" in picture
    assert "56 waist" in ladder_picture(meaning(small), "yd")


def test_a_picture_escapes_what_a_user_typed() -> None:
    balls = bucket({"<script>54": 54.0}, {"waist": 0.5})
    assert "<script" not in chart_picture(fit_chart(balls), balls, "yd")


def test_a_ladder_of_one_shot_speaks_of_no_span() -> None:
    one = chart_by_hand(shots=SHOTS[:1])
    assert "One shot, 46 yd." in ladder_picture(meaning(one), "yd")
