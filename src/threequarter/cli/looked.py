"""Options of a person who has looked at what the reader doubts."""

import click

from threequarter.language.localize import N_

AS_READ = click.option(
    "--as-read",
    multiple=True,
    type=click.Choice(["carry", "club", "offline", "player", "rows", "sheet", "swing", "unit"]),
    help=N_("What a second look doubts and you found well read."),
)
REMARKS = click.option(
    "--remarks",
    type=click.Choice(["keep", "leave"]),
    help=N_("What becomes of balls that a remark speaks against: they count as read, or not at all."),
)
LOOKED = (AS_READ, REMARKS)
