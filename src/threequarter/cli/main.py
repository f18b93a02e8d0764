"""The `threequarter` command: finds its subcommands by name and imports only the one that is asked for."""

import os
import sys
from importlib import import_module

import click

from threequarter import __version__
from threequarter.cli.speaking import asked_for, click_speaks, in_words
from threequarter.golf.errors import UserError
from threequarter.language import say_error
from threequarter.language.localize import N_, _
from threequarter.languages import LANGUAGES, language, of_environment

SHORT_HELP = {
    "account": N_("Make accounts and links to sign in, for an academy."),
    "backup": N_("Write everything into one file, and check it."),
    "card": N_("Write the pocket card as a PDF."),
    "chart": N_("Make the distance chart from a file of balls."),
    "day": N_("Move the chart to another day, and print its card."),
    "demo": N_("Run the whole job on an invented player's balls."),
    "doctor": N_("Check this installation and say how to fix it."),
    "erase": N_("Remove a player and everything about them for good."),
    "export": N_("Write everything in open formats."),
    "fly": N_("Compute flights from launches."),
    "import": N_("Save the balls of a table, or bring an export back."),
    "move": N_("Move everything to an academy's database, or back."),
    "next": N_("Say what to hit next and when to stop."),
    "note": N_("Read balls typed as plain words."),
    "site": N_("Write a folder for a web host: all a player needs, on the phone alone."),
    "plan": N_("Plan the balls of a session before the first one."),
    "shot": N_("Say which shot for a number, a wind and a green."),
    "spread": N_("Say where the spread comes from."),
    "swing": N_("Measure the swings in face-on clips."),
    "token": N_("Make, list and remove tokens for scripts."),
    "wedges": N_("Find the lofts that leave the fewest gaps."),
    "practice": N_("Numbers to call, and the score of a test."),
    "read": N_("Read any table of balls and say how it was read."),
    "recheck": N_("Say whether an old chart still holds."),
    "restore": N_("Restore a backup into an empty folder."),
    "serve": N_("Open the pages in a browser."),
    "work": N_("Measure clips for servers that run without a worker."),
}

MODULES = {"import": "import_"}
"""Commands whose name is no name for a module."""


class LazyGroup(click.Group):
    """A group whose commands are modules of this package, imported one at a time, their help in the language in use."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(SHORT_HELP)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in SHORT_HELP:
            return None
        module = import_module(f"threequarter.cli.{MODULES.get(cmd_name, cmd_name)}")
        return in_words(module.command)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section(_("Commands")):
            formatter.write_dl([(name, _(SHORT_HELP[name])) for name in self.list_commands(ctx)])


@click.group(
    cls=LazyGroup,
    context_settings={"help_option_names": ["-h", "--help"]},
    help=N_("Distance charts a golfer can trust, from a bucket of balls.\n\nStart with: threequarter demo"),
)
@click.option(
    "--language",
    type=click.Choice(list(LANGUAGES)),
    expose_value=False,
    help=N_("Language of everything it says (default: the system's)."),
)
@click.version_option(__version__, prog_name="threequarter", help=N_("Show the version and exit."))
def group() -> None: ...


def main() -> None:
    """Entry point: exit 0 on success, 2 with one clear line for a user's mistake, 130 after ctrl-C."""
    with language(asked_for(sys.argv[1:]) or of_environment(os.environ)):
        click_speaks()
        run(sys.argv[1:])


def run(arguments: list[str]) -> None:
    """One command; leaves by SystemExit where it did not end well."""
    try:
        in_words(group).main(arguments, standalone_mode=False)
    except UserError as error:
        click.echo(f"threequarter: {say_error(error)}", err=True)
        sys.exit(2)
    except click.exceptions.Abort:
        click.echo("threequarter: " + _("Stopped; nothing is left half-written."), err=True)
        sys.exit(130)
    except click.ClickException as error:
        click.echo(f"threequarter: {error.format_message()}", err=True)
        sys.exit(2)
