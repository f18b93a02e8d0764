"""What the commands on the data folder share."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from threequarter.language import say
from threequarter.language.localize import N_

if TYPE_CHECKING:
    from threequarter.store.store import Store

DATA = click.option("--data", type=click.Path(path_type=Path, file_okay=False), help=N_("Data folder."))


@contextmanager
def opened(data: Path | None) -> "Iterator[Store]":
    """The store of a folder."""
    from threequarter.store.store import Store

    with Store.open(data) as store:
        if store.upgraded is not None:
            click.echo(say(store.upgraded.in_words()), err=True)
        yield store
