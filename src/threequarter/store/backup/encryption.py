"""Sealing a backup with a passphrase, in the age format, film by film through the memory.

A sealed backup is a zip of two age files: `key.age`, a key of its own sealed with the passphrase (scrypt), and `backup.age`,
sealed with that key (X25519); so any age program opens it: age -d key.age > key; age -d -i key backup.age > backup.zip
"""

import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message

KEY: Final = "key.age"
SEALED: Final = "backup.age"
LONGEST_KEY: Final = 4096
SHORTEST: Final = 8


def encrypt(whole: Path, target: Path, passphrase: str) -> None:
    """Writes a file sealed. Raises UserError for a passphrase of less than 8 letters."""
    if len(passphrase) < SHORTEST:
        raise UserError(Message("store.a_passphrase_needs_at_least", count=SHORTEST))
    import pyrage

    key = pyrage.x25519.Identity.generate()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_STORED, allowZip64=True) as pack:
        pack.writestr(KEY, pyrage.passphrase.encrypt(f"{key}\n".encode(), passphrase))
        with whole.open("rb") as source, pack.open(SEALED, "w", force_zip64=True) as out:
            pyrage.encrypt_io(source, out, [key.to_public()])


def is_encrypted(file: Path) -> bool:
    """Whether a file is a sealed backup."""
    try:
        with zipfile.ZipFile(file) as pack:
            return sorted(info.filename for info in pack.infolist()) == [SEALED, KEY]
    except (OSError, zipfile.BadZipFile, EOFError, NotImplementedError, ValueError):
        return False


@contextmanager
def decrypted(file: Path, passphrase: str, folder: Path) -> Iterator[Path]:
    """A sealed file opened into a folder, gone at the end. Raises UserError for a wrong passphrase or a damaged file."""
    import pyrage

    out = folder / "unsealed.part"
    try:
        with zipfile.ZipFile(file) as pack:
            if pack.getinfo(KEY).file_size > LONGEST_KEY:
                raise UserError(Message("store.is_damaged_it_cannot_be", file=file.name))
            try:
                told = pyrage.passphrase.decrypt(pack.read(KEY), passphrase)
            except pyrage.DecryptError as error:
                raise UserError(Message("store.the_passphrase_does_not_open", file=file.name)) from error
            key = pyrage.x25519.Identity.from_str(told.decode().strip())
            out.touch(mode=0o600)
            with pack.open(SEALED) as source, out.open("wb") as plain:
                pyrage.decrypt_io(source, plain, [key])
        yield out
    except (pyrage.DecryptError, pyrage.IdentityError, zipfile.BadZipFile, EOFError, UnicodeDecodeError) as error:
        raise UserError(Message("store.is_damaged_it_cannot_be", file=file.name)) from error
    finally:
        out.unlink(missing_ok=True)
