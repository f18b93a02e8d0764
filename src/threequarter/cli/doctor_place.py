"""What the doctor looks at where the data are: folders, disks, the database of either kind, clocks, the port, certificates.

Nothing is made or changed by looking, but for a small object in a store of films, which is removed again.
"""

import datetime
import os
import shutil
import socket
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection
from sqlalchemy.exc import DatabaseError

from threequarter.cli.doctor_store import store_findings
from threequarter.cli.findings import Finding
from threequarter.golf.errors import UserError
from threequarter.language.localize import _, ngettext
from threequarter.language.say import say_error
from threequarter.store.database import engines, postgres
from threequarter.store.media.s3 import SCHEME
from threequarter.store.open_store import COPIES
from threequarter.store.tasks.clock import last_jump
from threequarter.store.tasks.integrity import last_integrity

ENOUGH_DISK_MB: Final = 500
FULL_SHARE: Final = 0.99
MOST_CLOCK_S: Final = 5.0
MOST_FILE_S: Final = 120.0
LOOPBACK: Final = "127.0.0.1"


def place_findings(folder: Path, port: int) -> Iterator[Finding]:
    """Everything about where the data are and how they are served."""
    yield from _folder(_("Data folder"), folder)
    clips = os.environ.get("THREEQUARTER_CLIPS")
    if clips and clips.startswith(SCHEME):
        yield from store_findings(clips, folder / COPIES)
    elif clips:
        yield from _folder(_("Clip folder"), Path(clips))
    yield from _database(folder)
    yield from _films(folder)
    yield _clock(folder)
    yield _port(port)
    yield from _certificates(folder / "phones")


def _folder(what: str, folder: Path) -> Iterator[Finding]:
    """The folder may not exist yet; then its nearest existing parent has to be writable."""
    cure = _("Name another folder with --data, or change its permissions.")
    if folder.exists() and not folder.is_dir():
        yield Finding(what, False, _("{folder} is a file").format(folder=folder), cure)
        return
    there = next(parent for parent in (folder, *folder.absolute().parents) if parent.exists())
    well = os.access(there, os.W_OK)
    found = str(folder) if well else _("{folder} cannot be written").format(folder=folder)
    yield Finding(what, well, found, cure)
    disk = shutil.disk_usage(there)
    free_mb, share = disk.free // 2**20, 1 - disk.free / disk.total
    found = _("{mb} MB free, {share} % full").format(mb=free_mb, share=f"{100 * share:.0f}")
    cure = _("Free {size} MB or more: delete old clips and backups, or use a larger disk.").format(size=ENOUGH_DISK_MB)
    yield Finding(
        _("Disk of {folder}").format(folder=there), free_mb >= ENOUGH_DISK_MB and share < FULL_SHARE, found, cure
    )


def _database(folder: Path) -> Iterator[Finding]:
    url, what = engines.url_from_environment(), _("Database")
    if url is None and not (folder / engines.FILE_NAME).is_file():
        yield Finding(what, True, _("none yet; the first start makes it"))
        return
    try:
        engine = postgres.open_server(postgres.parse(url)) if url else engines.open_file(folder / engines.FILE_NAME)
        try:
            with engine.connect() as connection:
                yield from _looked_at(connection, what, url)
        finally:
            engine.dispose()
    except UserError as error:
        found, _dot, cure = say_error(error).partition(". ")
        yield Finding(what, False, found, cure)
    except DatabaseError as error:
        reason = str(error.orig).split("\n")[0]
        yield Finding(what, False, reason, _("Restore the last backup: threequarter restore FILE --replace"))


def _films(folder: Path) -> Iterator[Finding]:
    """What the last daily check found of the films and the record; nothing where there was none yet."""
    checked = last_integrity(folder)
    if checked is None:
        return
    count = len(checked.films)
    found = _("all there on {day}").format(day=checked.checked_at[:10])
    if count:
        found = ngettext(
            "{count} clip is missing or cut short", "{count} clips are missing or cut short", count
        ).format(count=count)
    yield Finding(
        _("Clips"), not count, found, _("Delete those clips, or restore a backup that holds them."), needed=False
    )
    if checked.line:
        found = _("line {number} was changed or taken out by hand").format(number=checked.line)
        yield Finding(
            _("Record of who did what"),
            False,
            found,
            _("Ask who can write to the database; a backup from before holds the record as it was."),
            needed=False,
        )


def _looked_at(connection: Connection, what: str, url: str | None) -> Iterator[Finding]:
    if url is None:
        (state,) = connection.exec_driver_sql("PRAGMA quick_check(1)").one()
        if state != "ok":
            cure = _("Restore the last backup: threequarter restore FILE --replace")
            yield Finding(what, False, _("the file is damaged: {state}").format(state=state), cure)
            return
    yield Finding(what, True, postgres.shown(postgres.parse(url)) if url else _("a file in the data folder, sound"))
    yield _schema(engines.revision_of(connection))
    if url:
        now = connection.exec_driver_sql("SELECT clock_timestamp()").scalar_one()
        off = abs((now - datetime.datetime.now(datetime.UTC)).total_seconds())
        cure = _("Set both clocks by the network (NTP): timedatectl set-ntp true")
        found = _("{seconds} s apart").format(seconds=f"{off:.1f}")
        yield Finding(_("Clocks here and of the database"), off <= MOST_CLOCK_S, found, cure)


def _schema(revision: str | None) -> Finding:
    what, newest = _("Data version"), engines.head()
    if revision in (None, newest):
        return Finding(what, True, _("schema {revision}").format(revision=revision or newest))
    if engines.known(str(revision)):
        found = _("schema {revision}; the next start brings it to {newest}").format(revision=revision, newest=newest)
        return Finding(what, True, found)
    found = _("written by a newer version of threequarter (schema {revision}; this one knows {newest})")
    cure = _("Install the newer version again, or restore a backup that this version made.")
    return Finding(what, False, found.format(revision=revision, newest=newest), cure)


def _clock(folder: Path) -> Finding:
    """A clock that is behind: files of the data, or of the program, are dated later than now."""
    files = [path for path in (folder.iterdir() if folder.is_dir() else ()) if path.is_file()]
    newest = max((path.stat().st_mtime for path in [*files, Path(__file__)]), default=0.0)
    behind = newest - time.time()
    now = datetime.datetime.now().astimezone().strftime("%Y-%m-%d %H:%M %Z")
    if behind <= MOST_FILE_S and (jump := last_jump(folder)) is not None:
        found = _("{now}; it jumped from {before} to {after}, so nothing is deleted for good until {until}")
        days = {"before": jump.before.date(), "after": jump.after.date(), "until": jump.until.date()}
        cure = _(
            "Set this machine's clock if it is wrong: timedatectl set-ntp true. If it is right, there is nothing to do."
        )
        return Finding(_("Clock"), False, found.format(now=now, **days), cure)
    if behind <= MOST_FILE_S:
        return Finding(_("Clock"), True, now)
    found = _("{now}, but files here were written {hours} h later; it is behind").format(
        now=now, hours=f"{behind / 3600:.1f}"
    )
    return Finding(_("Clock"), False, found, _("Set this machine's clock: timedatectl set-ntp true"))


def _port(port: int) -> Finding:
    what = _("Port {port}").format(port=port)
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((LOOPBACK, port))
            return Finding(what, True, _("free"))
        except OSError:
            pass
    if _is_ours(port):
        return Finding(what, True, _("threequarter runs here"))
    return Finding(what, False, _("taken by another program"), _("Choose another: threequarter serve --port 0"))


def _is_ours(port: int) -> bool:
    try:
        with urllib.request.urlopen(f"http://{LOOPBACK}:{port}/health", timeout=2) as answer:
            return b'"status"' in answer.read(1000)
    except (OSError, ValueError, urllib.error.URLError):
        return False


def _certificates(folder: Path) -> Iterator[Finding]:
    kinds = {
        "server.pem": (_("Certificate for phones"), _("Start threequarter serve --phones again: it makes a new one.")),
        "threequarter-ca.crt": (
            _("Authority for phones"),
            _(
                "Delete the folder {folder}, start threequarter serve --phones again, and let each phone trust it anew."
            ).format(folder=folder),
        ),
    }
    for name, (what, cure) in kinds.items():
        if (folder / name).is_file():
            yield certificate_finding(folder / name, what, cure)


def certificate_finding(file: Path, what: str, cure: str) -> Finding:
    """Whether a certificate holds now."""
    from cryptography import x509

    try:
        made: Any = x509.load_pem_x509_certificates(file.read_bytes())[0]
    except (ValueError, IndexError, OSError):
        return Finding(what, False, _("{file} cannot be read").format(file=file), cure)
    now, ends = datetime.datetime.now(datetime.UTC), made.not_valid_after_utc
    if ends < now:
        return Finding(what, False, _("expired on {day}").format(day=f"{ends:%Y-%m-%d}"), cure)
    if made.not_valid_before_utc > now:
        cure = _("Set this machine's clock: timedatectl set-ntp true")
        return Finding(
            what, False, _("valid only from {day}").format(day=f"{made.not_valid_before_utc:%Y-%m-%d}"), cure
        )
    return Finding(what, True, _("good until {day}").format(day=f"{ends:%Y-%m-%d}"))
