"""What the product is made of: locked by hash, none older than a known advisory's cure, all of it in the bill of materials."""

import json
import re
import runpy
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import pytest

from threequarter import core

ROOT = Path(__file__).parents[1]
PIN = re.compile(r"^([a-z0-9][a-z0-9._-]*)==([0-9][^ ;\\]*)", re.M)


def numbers(text: str) -> tuple[int, ...]:
    return tuple(int(part) for part in re.findall(r"\d+", text))


@pytest.mark.parametrize("name", ["run.txt", "dev.txt", "build.txt", "npm.txt", "academy.txt"])
def test_each_requirement_has_its_hashes_and_no_address(name: str) -> None:
    text = (ROOT / "requirements" / name).read_text()
    blocks = re.split(r"\n(?=[a-z0-9])", text.strip())
    assert len(blocks) == len(PIN.findall(text)) > 0
    assert all("--hash=sha256:" in block for block in blocks)
    assert "://" not in text


@pytest.mark.parametrize(
    "advisory", json.loads((ROOT / "requirements" / "advisories.json").read_text()), ids=lambda one: one["package"]
)
def test_nothing_locked_or_installed_is_older_than_a_known_cure(advisory: dict[str, str]) -> None:
    locked = dict(PIN.findall((ROOT / "requirements" / "dev.txt").read_text()))
    for found in (locked[advisory["package"]], version(advisory["package"])):
        assert numbers(found) >= numbers(advisory["least"]), advisory["why"]


@pytest.mark.parametrize("name", ["run.txt", "academy.txt"])
def test_the_lock_was_tried_on_every_laptop_and_has_wheels_there(name: str) -> None:
    """The answer of the registry, as `make requirements` stored it for this very lock: systems, processors, Python 3.11 to 3.14."""
    stored = json.loads((ROOT / "requirements" / "laptops.json").read_text())[name]
    asked = runpy.run_path(str(ROOT / "scripts" / "check_laptops.py"))
    assert stored["sha256"] == asked["digest"](name), "The lock was changed: run make requirements"
    assert stored["without_wheel"].keys() == asked["SYSTEMS"].keys()
    assert all(tuple(versions) == asked["PYTHONS"] for versions in stored["without_wheel"].values())
    missing = {system: set(versions.values()) - {""} for system, versions in stored["without_wheel"].items()}
    films = {"ai-edge-litert"} if name == "academy.txt" else set()  # README: clips on a Mac need an Apple processor
    assert missing.pop("macOS, Intel processor") == films
    assert not any(missing.values())


def test_the_decoder_carries_the_mended_ffmpeg() -> None:
    av = pytest.importorskip("av")
    assert numbers(av.ffmpeg_version_info) >= (8, 1, 2)


def test_the_bill_of_materials_names_every_part_that_ships(tmp_path: Path) -> None:
    target = tmp_path / "sbom.json"
    subprocess.run(
        [sys.executable, str(ROOT / "scripts" / "make_sbom.py"), str(target)], check=True, capture_output=True
    )
    found = {part["name"] for part in json.loads(target.read_text())["components"]}
    locked = {name for name, _ in PIN.findall((ROOT / "requirements" / "run.txt").read_text())}
    files = {
        item["source"]
        for item in json.loads((ROOT / "third_party.json").read_text())
        if not item["target"].startswith("tests/")
    }
    assert locked | files <= found
    assert "/simple/" not in target.read_text()  # where it is fetched from is the installer's own choice


def test_a_core_of_another_source_is_refused(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for file in Path(core.__file__).parent.glob("*.[chw]*"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    monkeypatch.setattr(core, "files", lambda _: tmp_path)
    assert core.core_bytes()
    changed = tmp_path / "room.c"
    changed.write_bytes(changed.read_bytes().replace(b"\n", b"\r\n"))  # as git may write it on Windows
    assert core.core_bytes()
    changed.write_text("/* another */\n", encoding="utf-8")
    with pytest.raises(core.CoreStaleError, match="hatch_build"):
        core.core_bytes()


@pytest.mark.slow
def test_the_core_of_the_repository_is_what_its_source_builds_to_the_last_byte(tmp_path: Path) -> None:
    """Independent: whoever does not trust a binary in a repository builds it, here in another folder with an empty cache."""
    pytest.importorskip("ziglang")
    runpy.run_path(str(ROOT / "hatch_build.py"))["build_core"](tmp_path / "again.wasm")
    assert (tmp_path / "again.wasm").read_bytes() == core.core_bytes()


def test_who_installs_needs_no_compiler() -> None:
    """The compiler is four hundred megabytes; only who changes the C needs it."""
    for name in ("run.txt", "build.txt", "academy.txt"):
        assert (
            not {"ziglang", "numba", "llvmlite"} & dict(PIN.findall((ROOT / "requirements" / name).read_text())).keys()
        )
