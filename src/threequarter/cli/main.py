"""The `threequarter` command: finds its subcommands by name and imports only the one that is asked for."""

import sys
from importlib import import_module

import click

from threequarter import __version__
from threequarter.golf.errors import UserError

SHORT_HELP = {
    "backup": "Write everything into one file, and check it.",
    "card": "Write the pocket card as a PDF.",
    "chart": "Make the distance chart from a file of balls.",
    "day": "Move the chart to another day, and print its card.",
    "demo": "Run the whole job on an invented player's bucket.",
    "doctor": "Say what is wrong with this installation and what to do.",
    "erase": "Remove a player and everything of them for good.",
    "export": "Write what is kept as open JSON.",
    "fly": "Compute flights from launches.",
    "import": "Keep the balls of a table, or put an export back.",
    "next": "Say which ball to hit next, and when to stop.",
    "note": "Read balls typed as plain words.",
    "plan": "Plan the balls of a session before the first one.",
    "shot": "Say which shot for a number, a wind and a green.",
    "spread": "Say where the spread comes from.",
    "swing": "Measure the swings in face-on clips.",
    "wedges": "Find the lofts that leave the fewest holes.",
    "practice": "Numbers to call, and the score of a test.",
    "read": "Read any table of balls and say how it was read.",
    "recheck": "Say whether an old chart still holds.",
    "restore": "Put a backup into an empty folder.",
    "serve": "Open the pages in a browser.",
}

MODULES = {"import": "import_"}
"""Commands whose name is no name for a module."""


class LazyGroup(click.Group):
    """A group whose commands are modules of this package, imported one at a time."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(SHORT_HELP)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in SHORT_HELP:
            return None
        command: click.Command = import_module(f"threequarter.cli.{MODULES.get(cmd_name, cmd_name)}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, SHORT_HELP[name]) for name in self.list_commands(ctx)])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="threequarter")
def group() -> None:
    """Distance charts a golfer can trust, from a bucket of balls.

    Start with: threequarter demo
    """


def main() -> None:
    """Entry point: exit 0 on success, 2 with one clear line for a user's mistake, 130 after ctrl-C."""
    try:
        group.main(standalone_mode=False)
    except UserError as error:
        click.echo(f"threequarter: {error}", err=True)
        sys.exit(2)
    except click.exceptions.Abort:
        click.echo("threequarter: stopped; nothing half-written is left behind.", err=True)
        sys.exit(130)
    except click.ClickException as error:
        click.echo(f"threequarter: {error.format_message()}", err=True)
        sys.exit(2)
