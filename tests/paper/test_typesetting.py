"""The typesetter runs apart: what is too much ends in time with words, and the caller lives."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from threequarter.golf.errors import UserError
from threequarter.paper import typesetting


@pytest.fixture
def heavy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A template that sets a page without end, and limits small enough to wait for."""
    (tmp_path / "templates").mkdir()
    (tmp_path / "templates" / "heavy.typ").write_text("#for i in range(9000) { for j in range(300) [word #i #j ] }")
    (tmp_path / "templates" / "wrong.typ").write_text("#no-such-function()")
    (tmp_path / "fonts").mkdir()
    (tmp_path / "fonts" / "none.ttf").write_bytes(b"")
    monkeypatch.setattr(typesetting, "HERE", tmp_path)
    typesetting.fonts.cache_clear()
    yield
    typesetting.fonts.cache_clear()


@pytest.mark.usefixtures("heavy")
def test_a_page_without_end_is_ended_with_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(typesetting, "SECONDS", 2)
    before = os.times()
    with pytest.raises(UserError, match="too much for one print"):
        typesetting.typeset("heavy.typ", {})
    assert os.times().elapsed - before.elapsed < 20


@pytest.mark.usefixtures("heavy")
def test_a_page_that_needs_more_memory_than_allowed_is_ended_with_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(typesetting, "MEGABYTES", 300)
    with pytest.raises(UserError, match="too much for one print"):
        typesetting.typeset("heavy.typ", {})


@pytest.mark.usefixtures("heavy")
def test_a_fault_in_a_template_is_a_fault_of_ours() -> None:
    with pytest.raises(RuntimeError, match="typesetting"):
        typesetting.typeset("wrong.typ", {})
