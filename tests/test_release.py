"""A release is whole: the wheel and the source archive hold what had to be fetched, and install where there is no Node."""

import json
import runpy
import subprocess
import tarfile
import zipfile
from pathlib import Path
from typing import Any

import pytest

import threequarter

ROOT = Path(__file__).parents[1]
RELEASE = runpy.run_path(str(ROOT / "scripts" / "release.py"))


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    made: tuple[Path, Path] = RELEASE["build"](tmp_path_factory.mktemp("dist"))
    return made


def fetched() -> list[dict[str, Any]]:
    listed: list[dict[str, Any]] = json.loads((ROOT / "third_party.json").read_text(encoding="utf-8"))
    return listed


def test_the_wheel_holds_every_fetched_file_and_no_tests(built: tuple[Path, Path]) -> None:
    names = set(zipfile.ZipFile(built[0]).namelist())
    shipped = {item["target"].removeprefix("src/") for item in fetched() if item["target"].startswith("src/")}
    assert len(shipped) > 8
    assert shipped <= names
    assert "threequarter/core/core.wasm" in names
    assert {name.split("/")[0].partition("-")[0] for name in names} == {"threequarter"}


def test_whoever_builds_from_the_source_archive_needs_no_node(built: tuple[Path, Path], tmp_path: Path) -> None:
    with tarfile.open(built[1]) as archive:
        archive.extractall(tmp_path, filter="data")
    (root,) = tmp_path.iterdir()
    hook = runpy.run_path(str(root / "hatch_build.py"))
    assert hook["missing_files"](root) == []
    assert hook["core_is_current"]()
    for needed in ("Containerfile", "CHANGELOG.md", "LICENSE", "requirements/run.txt", "docs/index.md"):
        assert (root / needed).is_file(), needed


def test_the_changelog_tells_what_changed_in_this_version_alone() -> None:
    told = RELEASE["changes"](threequarter.__version__)
    assert told.startswith(f"## {threequarter.__version__}")
    assert told.count("\n## ") == 0
    with pytest.raises(SystemExit, match="no section 9"):
        RELEASE["changes"]("9.9.9")


@pytest.mark.long
@pytest.mark.slow
def test_the_wheel_installs_without_node_or_a_compiler_and_makes_the_demo(
    built: tuple[Path, Path], tmp_path: Path
) -> None:
    command = RELEASE["installs"](built[0], tmp_path)
    alone = RELEASE["alone"](command.parent)
    subprocess.run([command, "demo", "--out", "out"], cwd=tmp_path, env=alone, check=True, capture_output=True)
    assert (tmp_path / "out" / "card.pdf").read_bytes().startswith(b"%PDF-")
    assert (tmp_path / "out" / "chart.svg").stat().st_size > 10_000
    installed = subprocess.run(
        [command.with_name("python"), "-c", "import threequarter; print(threequarter.__file__)"],
        cwd=tmp_path,
        env=alone,
        check=True,
        capture_output=True,
        text=True,
    )
    assert Path(installed.stdout.strip()).is_relative_to(tmp_path)
