"""Commands in the language in use: their help when it is asked for, and click's own words."""

import copy
import inspect
from collections.abc import Sequence
from importlib import import_module

import click

from threequarter.language import localize
from threequarter.language.localize import N_, _, locale, ngettext

CLICK: tuple[str, ...] = (
    N_("Usage:"),
    N_("Options"),
    N_("Commands"),
    N_("Show this message and exit."),
    N_("default: {default}"),
    N_("Aborted!"),
    N_("Try '{command} {option}' for help."),
    N_("Error: {message}"),
    N_("Invalid value: {message}"),
    N_("Invalid value for {param_hint}: {message}"),
    N_("Missing argument"),
    N_("Missing option"),
    N_("Missing parameter"),
    N_("Missing command."),
    N_("No such option {name!r}."),
    N_("No such command {name!r}."),
    N_("Choose from:\n\t{choices}"),
    N_("{value!r} is not a valid {number_type}."),
    N_("{value} is not in the range {range}."),
    N_("Option {name!r} does not take a value."),
    N_("{name} {filename!r} is a file."),
    N_("{name} {filename!r} is a directory."),
    N_("{name} {filename!r} does not exist."),
    N_("Repeat for confirmation"),
    N_("Error: The two entered values do not match."),
    N_("file"),
    N_("directory"),
    N_("path"),
)
"""What click itself says, for the catalogue; click looks it up under the same words."""


def _click_counts(count: int) -> tuple[str, ...]:
    """The same where a number decides the form."""
    return (
        ngettext("Got unexpected extra argument ({args})", "Got unexpected extra arguments ({args})", count),
        ngettext("Did you mean {possibility}?", "(Did you mean one of: {possibilities}?)", count),
        ngettext("{value!r} is not {choice}.", "{value!r} is not one of {choices}.", count),
        ngettext("Option {name!r} requires an argument.", "Option {name!r} requires {nargs} arguments.", count),
    )


def asked_for(arguments: Sequence[str]) -> str | None:
    """The language named before the command (--language de); what it may be click says."""
    for name, following in zip(arguments, [*arguments[1:], ""], strict=True):
        if name == "--language":
            return following
        if name.startswith("--language="):
            return name.partition("=")[2]
        if not name.startswith("-"):
            return None
    return None


def click_speaks() -> None:
    """Lets click say its own words from our catalogue; it has no way of its own to be told a catalogue that is no file."""
    if locale().startswith("en"):
        return
    for name in ("core", "decorators", "exceptions", "formatting", "parser", "termui", "types"):
        module = import_module(f"click.{name}")
        for said in ("_", "ngettext"):
            if hasattr(module, said):
                setattr(module, said, getattr(localize, said))


def in_words(command: click.Command) -> click.Command:
    """A command with its help in the language in use; the one in its module keeps the texts of the catalogue."""
    said = copy.copy(command)
    said.help = _(inspect.cleandoc(command.help)) if command.help else None
    epilog = command.epilog or ""
    if epilog.startswith("Example: "):
        said.epilog = _("Example: {command}").format(command=epilog.removeprefix("Example: "))
    elif epilog:
        said.epilog = _(epilog)
    said.params = [_param(param) for param in command.params]
    if isinstance(said, click.Group):
        said.commands = {name: in_words(one) for name, one in said.commands.items()}
    return said


def _param(param: click.Parameter) -> click.Parameter:
    if not isinstance(param, click.Option):
        return param
    said = copy.copy(param)
    said.help = _(param.help) if param.help else None
    return said
