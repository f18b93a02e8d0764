"""What the doctor looks at where films are kept in an S3-compatible store: it puts a small object there and takes it away again."""

import secrets
from collections.abc import Iterator
from pathlib import Path

from threequarter.cli.findings import Finding
from threequarter.golf.errors import UserError
from threequarter.language.localize import _, ngettext
from threequarter.language.say import say_error
from threequarter.store.media.s3 import S3Objects
from threequarter.store.media.s3_cache import TRIED, s3_cache_of


def store_findings(told: str, copies: Path) -> Iterator[Finding]:
    """Whether the store can be reached, the bucket is there, and this key may write, read, list and remove."""
    what = _("Clip store")
    try:
        vault = s3_cache_of(told, copies)
        assert vault is not None
        _try(vault.objects)
        yield Finding(what, True, _("{place}: written, read, listed and removed").format(place=vault.place))
        if vault.objects.keeps_versions():
            yield _versions(vault.objects)
        yield from _left(copies.with_name("clips"))
    except UserError as error:
        found, _dot, cure = say_error(error).partition(". ")
        yield Finding(what, False, found, cure)


def _versions(objects: S3Objects) -> Finding:
    if objects.may_see_versions():
        return Finding(_("Clip versions"), True, _("the bucket keeps them; they go when their clip goes"))
    found = _("the bucket keeps them, and this key may not remove them: deleted clips would stay")
    cure = _("Allow the key s3:ListBucketVersions and s3:DeleteObjectVersion, or end versions in the bucket.")
    return Finding(_("Clip versions"), False, found, cure)


def _left(folder: Path) -> Iterator[Finding]:
    """Films of a time before there was a store: nobody looks for them there any more, and no erasure either."""
    if count := sum(path.is_dir() for path in folder.glob("[0-9]*")):
        found = ngettext(
            "the folder {folder} still holds {count} clip", "the folder {folder} still holds {count} clips", count
        )
        cure = _("Move them into the store as docs/academy.md says, check that they show, then delete that folder.")
        yield Finding(_("Older clips"), False, found.format(folder=folder, count=count), cure)


def _try(objects: S3Objects) -> None:
    name, content = f"{TRIED}{secrets.token_hex(8)}", secrets.token_bytes(32)
    objects.write(name, content)
    try:
        if objects.read(name) != content or [one.name for one in objects.names(name)] != [name]:
            text = _("{place} does not give back what was put there. Use a store that shows at once what was written.")
            raise UserError(text.format(place=objects.place))
    finally:
        objects.remove(name)
