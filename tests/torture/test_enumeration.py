"""What is there and what is not have the same work done and the same words said. The long run compares times: make torture."""

from collections import Counter
from pathlib import Path

import pytest
from tests.torture.enumeration import KEY, rig, said, work_of

pytestmark = pytest.mark.slow


def more(one: tuple[list[str], int], other: tuple[list[str], int]) -> list[str | int]:
    """What one did that the other did not."""
    return [*(Counter(one[0]) - Counter(other[0])), one[1] - other[1]]


def test_what_is_there_and_what_is_not_are_answered_alike_and_cost_the_same_work(tmp_path: Path) -> None:
    with rig(tmp_path) as (made, asked):
        wrong = []
        for name, (there, none) in asked.items():
            for ask in (there, none):
                ask()  # what is looked up once in a process is known from now on
            told = [said(ask()) for ask in (there, none)]
            texts = [
                text.replace(KEY, "KEY").replace("Ash Marram", "NAME").replace("Ida Marram", "NAME")
                for _s, text in told
            ]
            work = [work_of(made, ask) for ask in (there, none)]
            if told[0][0] != told[1][0] or texts[0] != texts[1]:
                wrong.append((name, "says", told[0][0], told[1][0], texts[0][-300:], texts[1][-300:]))
            if work[0] != work[1]:
                wrong.append((name, "does", *more(work[0], work[1]), *more(work[1], work[0])))
        assert wrong == [], "\n".join(map(str, wrong))
        assert len(asked) > 8
        assert work_of(made, asked["name at the sign-in"][0])[1] > 0
        assert len(work_of(made, asked["session of another room"][0])[0]) > 1
