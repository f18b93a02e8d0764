"""What the files and the page on running an academy name is there: commands, options, services, volumes, variables."""

import re
import shlex
from pathlib import Path
from typing import Any

import click
import pytest
import yaml

from threequarter.cli.main import group

ROOT = Path(__file__).parents[1]
COMPOSE: dict[str, Any] = yaml.safe_load((ROOT / "compose.yaml").read_text(encoding="utf-8"))
PAGE = (ROOT / "docs" / "academy.md").read_text(encoding="utf-8")
COMMANDS = [
    line.split("#")[0].strip()
    for block in re.findall(r"```(?:sh|ini)\n(.*?)```", PAGE, re.DOTALL)
    for line in block.splitlines()
]
OURS = [
    line[line.index("threequarter ") :]
    for line in COMMANDS
    if re.search(r"(^|/| )threequarter (?!threequarter)[a-z]+ ", line + " ")
]


def known(words: list[str]) -> None:
    """Asserts that a command and its options exist; takes the words apart as the command line does."""
    command: click.Command | None = group
    context = click.Context(group)
    while isinstance(command, click.Group):
        command = command.get_command(context, words.pop(0))
    assert command is not None
    command.make_parser(context).parse_args(words)


@pytest.mark.parametrize("line", OURS)
def test_every_command_of_the_page_exists_with_its_options(line: str) -> None:
    words = shlex.split(line)[1:]
    if words[0] == "account" and group.get_command(click.Context(group), "account") is None:
        pytest.skip("accounts are not in this version")
    known(words)


def test_the_page_has_commands_to_check() -> None:
    assert {shlex.split(line)[1] for line in OURS} >= {"doctor", "serve", "work", "move", "backup"}


@pytest.mark.parametrize("name", [name for name in COMPOSE["services"] if name != "database"])
def test_a_service_runs_a_command_that_exists_on_volumes_that_exist(name: str) -> None:
    service = COMPOSE["services"][name]
    known(list(service["command"]))
    assert service["environment"]["THREEQUARTER_DATABASE_URL"].startswith("postgresql+psycopg://threequarter@database/")
    for volume in service["volumes"]:
        assert volume.split(":")[0] in COMPOSE["volumes"]
    assert set(service["depends_on"]) <= set(COMPOSE["services"])


def test_the_image_is_built_from_files_that_exist_and_starts_a_command_that_exists() -> None:
    told = (ROOT / "Containerfile").read_text(encoding="utf-8")
    for name in re.findall(r"requirements/\S+\.txt", told):
        assert (ROOT / name).is_file()
    known(yaml.safe_load(re.findall(r"^CMD (\[.*\])$", told, re.MULTILINE)[0]))
    assert "USER threequarter" in told


def test_variables_of_the_page_are_read_by_the_program() -> None:
    code = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "src").rglob("*.py"))
    named = set(re.findall(r"THREEQUARTER_[A-Z_]+", PAGE)) - {"THREEQUARTER_PROXIES"}
    assert {name for name in named if f'"{name}"' not in code} == set()


def test_the_image_has_the_same_versions_as_the_tests() -> None:
    def pins(name: str) -> set[str]:
        return set(
            re.findall(
                r"^([\w.-]+==[^ ;\\]+)", (ROOT / "requirements" / name).read_text(encoding="utf-8"), re.MULTILINE
            )
        )

    assert pins("academy.txt") <= pins("dev.txt")
