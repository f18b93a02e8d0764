"""Where a command gets a passphrase from: a prompt, a file or the environment; never the command line, which others can see."""

import os
import sys
from pathlib import Path

import click

from threequarter.golf.errors import UserError
from threequarter.language.localize import N_, _

FILE = click.option(
    "--passphrase-file", type=click.Path(path_type=Path), help=N_("A file whose first line is the passphrase.")
)


def told(file: Path | None) -> str | None:
    """The passphrase of a file or of the environment; None where none was given. Raises UserError for an empty or missing file."""
    from threequarter.store.backup.backup import PASSPHRASE_VARIABLE

    if file is None:
        return os.environ.get(PASSPHRASE_VARIABLE) or None
    try:
        line = file.read_text(encoding="utf-8").partition("\n")[0].rstrip("\r")
    except (OSError, UnicodeDecodeError) as error:
        raise UserError(_("{file} cannot be read: {reason}.").format(file=file, reason=error)) from None
    if not line:
        raise UserError(_("The first line of {file} is empty; it should be the passphrase.").format(file=file))
    return line


def new(file: Path | None, *, ask: bool) -> str | None:
    """The passphrase to seal with, asked twice where `ask`."""
    given = told(file)
    if given is None and ask:
        if not sys.stdin.isatty():
            raise UserError(_("Nobody is here to type a passphrase. Give it with --passphrase-file."))
        given = click.prompt(
            _("Passphrase (if you lose it, nobody can recover it)"), hide_input=True, confirmation_prompt=True, err=True
        )
    return given


def to_open(file: Path | None, backup: Path) -> str | None:
    """The passphrase of a sealed backup, asked for where none was given and somebody is there."""
    from threequarter.store.backup.encryption import is_encrypted

    if not is_encrypted(backup):
        return None
    given = told(file)
    if given is None and sys.stdin.isatty():
        given = click.prompt(_("Passphrase of {file}").format(file=backup.name), hide_input=True, err=True)
    return given
