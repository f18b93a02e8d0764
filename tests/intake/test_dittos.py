"""A mark that says "as above" is what stands above it, in every column; the tables are invented."""

import pytest

from threequarter.intake.load import read_content
from threequarter.intake.options import ReadOptions


@pytest.mark.parametrize("mark", ['""""', "〃", "idem", "Ditto", "同上", "''", '"-""-"'])
def test_every_label_goes_on_until_another_is_written(mark: str) -> None:
    lines = ["Player;Club;Swing;Carry (m)", "Dov Kessry;60;half;31"]
    lines += [f"{mark};{mark};{mark};{carry}" for carry in (33, 32, 30)] + [f"{mark};{mark};full;46"]
    lines += [f"{mark};{mark};{mark};{carry}" for carry in (45, 48, 47)]
    balls = read_content("\n".join(lines).encode(), "t.csv", "table", ReadOptions()).balls
    assert [(ball.player, ball.club, ball.swing) for ball in balls] == [("Dov Kessry", "60", "half")] * 4 + [
        ("Dov Kessry", "60", "full")
    ] * 4


def test_a_blank_line_between_does_not_end_them() -> None:
    text = "Club;Swing;Carry (m)\n56;half;41\n\nditto;ditto;43\nditto;full;62\nditto;ditto;60\n"
    balls = read_content(text.encode(), "t.csv", "table", ReadOptions()).balls
    assert [(ball.club, ball.swing) for ball in balls] == [("56", "half")] * 2 + [("56", "full")] * 2
