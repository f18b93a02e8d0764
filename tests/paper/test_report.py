"""The page to take home in print: one page, all distances as a picture where nothing else needs the room."""

import datetime
import io

import numpy as np
import pytest
from pypdf import PdfReader

from threequarter.chart.fit import fit_chart
from threequarter.chart.result import Chart
from threequarter.golf.ball import Ball
from threequarter.paper.report import report
from threequarter.paper.typesetting import count_pages

LADDER = "All of them by distance"
SHEET = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 96 43"><rect width="96" height="43" fill="#888"/></svg>'


def chart(clubs: int, swings: int) -> Chart:
    rng = np.random.default_rng(3)
    made: list[Ball] = []
    for c in range(clubs):
        for s in range(swings):
            for _ in range(3):
                carry = float(30 + 12 * s - 5 * c + rng.normal())
                made.append(
                    Ball(
                        number=len(made) + 1,
                        club=str(48 + 4 * c),
                        loft_deg=48.0 + 4 * c,
                        swing=("waist", "chest", "shoulder", "full")[s],
                        distance_m=carry,
                    )
                )
    return fit_chart(made)


def printed(of: Chart, **more: object) -> tuple[str, int]:
    pdf = report(of, [], player="Wren Sedge", date=datetime.date(2026, 6, 1), unit="m", **more)  # type: ignore[arg-type]
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages), count_pages(pdf)


@pytest.mark.parametrize(("clubs", "swings"), [(1, 1), (3, 4), (4, 4)])
def test_a_lesson_without_films_has_all_distances_as_a_picture_on_its_one_page(clubs: int, swings: int) -> None:
    text, pages = printed(chart(clubs, swings))
    assert pages == 1
    assert LADDER in text
    assert "48 waist" in text  # a label within the picture


def test_pictures_of_swings_take_the_room_of_the_picture() -> None:
    text, pages = printed(chart(3, 3), pictures=[SHEET, SHEET], captions=["the best", "the next"])
    assert pages == 1
    assert LADDER not in text


def test_notes_that_need_the_room_have_it() -> None:
    text, pages = printed(chart(4, 4), notes="\n".join(f"{n}. Hold the finish until it lands." for n in range(24)))
    assert pages == 1
    assert LADDER not in text
    assert "23. Hold the finish" in text
