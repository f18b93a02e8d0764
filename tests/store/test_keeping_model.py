"""Random files that grow, are corrected, undone and brought back, against a plain model of layers."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule
from tests.store.sheets import as_bytes, read

from threequarter.store.store import Store

pytestmark = pytest.mark.slow

CARRY = st.integers(min_value=40, max_value=42).map(float)  # few values, so that most rows have equals


class FilesThatGrow(RuleBasedStateMachine):
    """One file only ever grows or has rows corrected, so a row's number is what it is: the model is a list of layers."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.store = Store.open(Path(self.folder.name))
        self.file: list[float] = [50.0, 50.0, 51.0]
        self.layers: dict[int, dict[int, float]] = {}
        self.undone: set[int] = set()
        self.keep()

    def standing(self) -> dict[int, float]:
        seen: dict[int, float] = {}
        for number in sorted(self.layers):
            if number not in self.undone:
                seen |= self.layers[number]
        return seen

    def keep(self) -> None:
        before = self.standing()
        kept = self.store.keep_reading(read(self.file), as_bytes(self.file), name="grows.csv")
        wanted = dict(enumerate(self.file))
        missing = {row: carry for row, carry in wanted.items() if before.get(row) != carry}
        assert (kept.what == "nothing new") == (not missing)
        assert kept.added + kept.changed + kept.brought_back == len(missing)
        imports = self.store.imports(1)
        back = {info.id for info in imports if info.id in self.undone and not info.undone}
        self.undone -= back
        returned = {row for number in back for row in self.layers[number]}
        assert len(returned) == kept.brought_back
        for info in imports:
            if info.id not in self.layers:
                self.layers[info.id] = {row: carry for row, carry in missing.items() if row not in returned}
                assert info.balls == len(self.layers[info.id])
        assert {row: carry for row, carry in self.standing().items() if row in wanted} == wanted

    @rule(more=st.lists(CARRY, min_size=1, max_size=4))
    def grows(self, more: list[float]) -> None:
        self.file = self.file + more
        self.keep()

    @rule()
    def same_again(self) -> None:
        self.keep()

    @rule(data=st.data())
    def undo(self, data: st.DataObject) -> None:
        number = data.draw(st.sampled_from(sorted(self.layers)))
        self.store.undo_import(number)
        self.undone.add(number)

    @precondition(lambda self: self.undone)
    @rule(data=st.data())
    def redo(self, data: st.DataObject) -> None:
        number = data.draw(st.sampled_from(sorted(self.undone)))
        self.store.redo_import(number)
        self.undone.discard(number)

    @rule()
    def reopen(self) -> None:
        self.store.close()
        self.store = Store.open(Path(self.folder.name))

    @invariant()
    def balls_are_those_of_the_model_in_order(self) -> None:
        standing = self.standing()
        found = [(ball.place.row - 2, ball.distance_m) for ball in self.store.session_balls(1) if ball.place]
        assert found == sorted(standing.items())
        counted = sum(info.balls for info in self.store.sessions())
        assert counted == len(standing)

    def teardown(self) -> None:
        self.store.close()
        self.folder.cleanup()


TestFilesThatGrow = FilesThatGrow.TestCase
TestFilesThatGrow.settings = settings(
    max_examples=40, stateful_step_count=15, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_a_file_that_grows_at_both_ends_and_is_corrected_reads_as_it_stands(data: st.DataObject) -> None:
    """After each reading the session is the file itself, ball for ball: nothing twice, nothing lost."""
    file: list[float] = [float(50 + i) for i in range(6)]
    with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder)) as store:
        store.keep_reading(read(file), as_bytes(file), name="grows.csv")
        for _ in range(data.draw(st.integers(1, 5))):
            change = data.draw(st.sampled_from(["end", "top", "corrected", "again"]))
            more = data.draw(st.lists(CARRY, min_size=1, max_size=3))
            if change == "end":
                file = file + more
            elif change == "top":
                file = more + file
            elif change == "corrected":
                row = data.draw(st.integers(0, len(file) - 1))
                file = [*file[:row], data.draw(st.floats(60, 70)), *file[row + 1 :]]
            store.keep_reading(read(file), as_bytes(file), name="grows.csv")
            assert [ball.distance_m for ball in store.session_balls(1)] == file
