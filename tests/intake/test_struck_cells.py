"""A cell that a person crossed out in a spreadsheet is a ball that does not count, in every layout and form."""

import io
import zipfile

import openpyxl
import pytest
from openpyxl.styles import Font

from threequarter.golf.ball import Ball
from threequarter.intake.tables.read import read_table

ROWS = [("54", "chest" if i % 2 else "waist", 38 + 12 * (i % 2) + i % 3) for i in range(8)]


def uses(balls: tuple[Ball, ...] | list[Ball]) -> list[bool]:
    return [ball.use for ball in balls]


def workbook(rows: list[list[object]], struck: list[str], first: str = "A1") -> bytes:
    """An XLSX with the cells named crossed out; the table begins at `first`."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Fern & Wren's bucket"
    origin = sheet[first]
    for down, row in enumerate(rows):
        for right, value in enumerate(row):
            sheet.cell(origin.row + down, origin.column + right, value)
    for place in struck:
        sheet[place].font = Font(strike=True)
    sheet["H40"].font = Font(strike=True)  # an empty cell with the look is no ball
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize(("first", "struck"), [("A1", ["C4"]), ("B3", ["D6"]), ("B3", ["B6", "C6", "D6"])])
def test_a_ball_whose_carry_is_crossed_out_is_kept_and_does_not_count(first: str, struck: list[str]) -> None:
    rows: list[list[object]] = [["Club", "Swing", "Carry (m)"], *([int(c), s, d] for c, s, d in ROWS)]
    reading = read_table(workbook(rows, struck, first), "bucket.xlsx")
    assert uses(reading.balls) == [True, True, False, *[True] * 5]
    assert [(ball.club, ball.swing, ball.distance_m) for ball in reading.balls] == ROWS


def test_a_label_alone_crossed_out_leaves_its_ball() -> None:
    rows: list[list[object]] = [["Club", "Swing", "Carry (m)"], *([int(c), s, d] for c, s, d in ROWS)]
    reading = read_table(workbook(rows, ["A3", "B5"]), "bucket.xlsx")
    assert uses(reading.balls) == [True] * 8
    assert {ball.club for ball in reading.balls} == {"54"}


def test_a_crossed_out_cell_of_a_column_a_shot_does_not_count() -> None:
    rows: list[list[object]] = [["Carry m", "waist", "chest"]]
    rows += [["54", 40, 52], ["", 39, 53], ["", 42, 51], ["58", 33, 44], ["", 32, 45], ["", 34, 43]]
    reading = read_table(workbook(rows, ["B3", "C6"]), "wide.xlsx")
    assert [ball.distance_m for ball in reading.balls if not ball.use] == [39.0, 45.0]
    assert len(reading.balls) == 12


def test_a_crossed_out_cell_of_an_open_document_does_not_count() -> None:
    def cell(value: object, style: str = "") -> str:
        kind = f'office:value-type="float" office:value="{value}"' if isinstance(value, int) else ""
        kind = kind or 'office:value-type="string"'
        return f"<table:table-cell {style} {kind}><text:p>{value}</text:p></table:table-cell>"

    struck = 'table:style-name="gone"'
    body = "".join(
        f"<table:table-row>{cell(int(c))}{cell(s)}{cell(d, struck if at == 5 else '')}</table:table-row>"
        for at, (c, s, d) in enumerate(ROWS)
    )
    head = "<table:table-row>" + "".join(cell(text) for text in ("Club", "Swing", "Carry (m)")) + "</table:table-row>"
    names = " ".join(
        f'xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
        for short, name in [("office", "office"), ("table", "table"), ("text", "text"), ("style", "style")]
    )
    content = (
        f'<?xml version="1.0"?><office:document-content {names}><office:automatic-styles>'
        '<style:style style:name="gone" style:family="table-cell">'
        '<style:text-properties style:text-line-through-style="solid"/></style:style></office:automatic-styles>'
        f'<office:body><office:spreadsheet><table:table table:name="Balls">{head}'
        f'<table:table-row table:number-rows-repeated="2"><table:table-cell/></table:table-row>{body}'
        "</table:table></office:spreadsheet></office:body></office:document-content>"
    )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as pack:
        pack.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        pack.writestr("content.xml", content)
        pack.writestr("META-INF/manifest.xml", "<manifest/>")
    reading = read_table(out.getvalue(), "bucket.ods")
    assert uses(reading.balls) == [True] * 5 + [False] + [True] * 2
