"""Options that answer what the reader doubts, by a person who has looked."""

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
ACROSS = click.option(
    "--across",
    type=click.Choice(["players", "swings", "measures"]),
    help=N_("What names over columns of carries are: players, swing lengths, or neither."),
)
LOOKED = (AS_READ, REMARKS, ACROSS)
