"""Tables that were twisted: columns shuffled, headings swapped, misspelt, translated or gone, decoys beside the carry.

The answer stays the same ball for ball, or becomes a question. The twists were written by other hands than the reader
(tests/worlds/table_twists.py) and know none of its words. No ball is silently wrong and none is invented; the long run
over many more seeds is tests/torture/twisted.py.
"""

from collections import Counter

import pytest

from threequarter.intake.answer import reading_answer
from threequarter.intake.load import read_content
from threequarter.intake.options import ReadOptions
from worlds.table_judge import judge
from worlds.table_twists import make_case

pytestmark = pytest.mark.slow

BLOCK = 200


def outcome(seed: int) -> Counter[str]:
    case = make_case(seed)
    return judge(case.truth, reading_answer(read_content(case.content, case.name, "table", ReadOptions()))).counts


@pytest.mark.parametrize("block", range(10))
def test_a_twisted_table_is_read_right_or_asked_about(block: int) -> None:
    total: Counter[str] = Counter()
    for seed in range(10_000 + block * BLOCK, 10_000 + (block + 1) * BLOCK):
        total.update(outcome(seed))
    balls = sum(total[name] for name in ("right", "covered", "silently wrong", "other", "aside", "refused", "missing"))
    assert total["right"] + total["covered"] >= 0.85 * balls
    assert total["silently wrong"] == total["invented"] == 0


def test_rows_in_are_rows_out_and_every_column_has_a_verdict() -> None:
    for seed in range(400, 460):
        case = make_case(seed)
        reading = read_content(case.content, case.name, "table", ReadOptions())
        if reading.error:
            continue
        assert all(column.role or column.verdict != "read" for column in reading.columns), seed
        assert all(
            column.why or column.role or column.verdict == "asked" for column in reading.columns if any(column.cells)
        ), seed
        held = {ball.place.row for ball in reading.balls if ball.place}
        if held and len(held) == len(reading.balls):  # else the balls wait for an answer
            assert dict(reading.rows).get("ball", 0) in (
                len(held),
                len({b.place.col for b in reading.balls if b.place}),
            ), seed
