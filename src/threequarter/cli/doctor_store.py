"""What the doctor looks at where films are kept in an S3-compatible store: it puts a small object there and takes it away again."""

import secrets
from collections.abc import Iterator
from pathlib import Path

from threequarter.cli.findings import Finding
from threequarter.golf.errors import UserError
from threequarter.golf.language import _
from threequarter.store.objects import Objects
from threequarter.store.vault import TRIED, vault_of


def store_findings(told: str, copies: Path) -> Iterator[Finding]:
    """Whether the store can be reached, the bucket is there, and this key may write, read, list and remove."""
    what = _("Store of films")
    try:
        vault = vault_of(told, copies)
        assert vault is not None
        _try(vault.objects)
        yield Finding(what, True, _("{place}: written, read, listed and removed").format(place=vault.place))
        if vault.objects.keeps_versions():
            found = _("the bucket keeps earlier versions; they are removed with a film as far as the key may")
            yield Finding(_("Versions of films"), True, found)
    except UserError as error:
        found, _dot, cure = str(error).partition(". ")
        yield Finding(what, False, found, cure)


def _try(objects: Objects) -> None:
    name, content = f"{TRIED}{secrets.token_hex(8)}", secrets.token_bytes(32)
    objects.write(name, content)
    try:
        if objects.read(name) != content or [one.name for one in objects.names(name)] != [name]:
            text = _("{place} does not give back what was put there. Use a store that shows at once what was written.")
            raise UserError(text.format(place=objects.place))
    finally:
        objects.remove(name)
