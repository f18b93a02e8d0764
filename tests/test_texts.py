"""The catalogues hold every text of the code and the pages, nothing else, and nothing half done."""

import ast
import re
import subprocess
import sys
from pathlib import Path
from typing import Final

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po

ROOT: Final = Path(__file__).parents[1]
SOURCE: Final = ROOT / "src" / "threequarter"
VALUE: Final = re.compile(r"%\(\w+\)s|\{\w*(?:![rs])?(?::[^}]*)?\}|</?[a-z]+[^>]*>")
"""A value or a tag that a text holds."""


@pytest.fixture(scope="module")
def german() -> Catalog:
    with (SOURCE / "languages" / "de.po").open("rb") as file:
        return read_po(file, locale="de", abort_invalid=True)


def entries(catalog: Catalog) -> list[Message]:
    return [entry for entry in catalog if entry.id]


def forms(text: str | tuple[str, ...] | list[str]) -> tuple[str, ...]:
    return (text,) if isinstance(text, str) else tuple(text)


def test_the_catalogue_is_what_is_collected_from_code_and_pages(german: Catalog, tmp_path: Path) -> None:
    collected = tmp_path / "all.pot"
    command = [
        sys.executable,
        "-m",
        "babel.messages.frontend",
        "-q",
        "extract",
        "-F",
        "babel.cfg",
        "-k",
        "N_",
        "-k",
        "NN_:1,2",
        "-o",
        str(collected),
        ".",
    ]
    subprocess.run(command, cwd=ROOT, check=True)
    with collected.open("rb") as file:
        wanted = {forms(entry.id) for entry in entries(read_po(file))}
    had = {forms(entry.id) for entry in entries(german)}
    assert sorted(wanted - had) == [], "run `make texts` and translate what is new"
    assert sorted(had - wanted) == [], "run `make texts`"
    assert not german.obsolete


def test_nothing_is_left_untranslated_or_unsure(german: Catalog) -> None:
    assert [entry.id for entry in entries(german) if entry.fuzzy] == []
    assert [entry.id for entry in entries(german) if not all(forms(entry.string))] == []
    assert [entry.id for entry in entries(german) if isinstance(entry.id, str) != isinstance(entry.string, str)] == []


def test_values_and_tags_are_the_same_in_both_languages(german: Catalog) -> None:
    """A form of a plural may leave a value out that its own words say ("one ball"), never bring in one that nobody fills."""
    for entry in entries(german):
        ids, strings = forms(entry.id), forms(entry.string)
        told = [set(VALUE.findall(one)) for one in ids]
        for number, string in enumerate(strings):
            held = set(VALUE.findall(string))
            if len(ids) == 1:
                assert held == told[0], (entry.id, string)
            else:
                assert held <= told[0] | told[-1], (entry.id, string)
                assert number == 0 or held == told[-1], (entry.id, string)


def test_percent_signs_are_doubled_where_a_page_fills_the_text(german: Catalog) -> None:
    for entry in entries(german):
        if any("%(" in one for one in forms(entry.id)):
            for string in forms(entry.string):
                assert "%" not in re.sub(r"%%|%\(\w+\)s", "", string), string


def test_every_text_named_in_code_was_collected(german: Catalog) -> None:
    """One that stands inside an f-string is not seen by the collector, on some versions of Python."""
    known = {one for entry in entries(german) for one in forms(entry.id)}
    missed = []
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id in ("_", "N_", "ngettext")
            ):
                for argument in node.args[: 2 if node.func.id == "ngettext" else 1]:
                    if isinstance(argument, ast.Constant) and argument.value and argument.value not in known:
                        missed.append(f"{path.name}: {argument.value}")
                    assert not isinstance(argument, ast.JoinedStr), f"{path.name}: an f-string cannot be looked up"
    assert missed == []
