"""`threequarter serve`: the pages, on this computer only."""

import atexit
import contextlib
import gc
import os
import socket
import threading
import time
import webbrowser
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from threequarter.golf.errors import UserError
from threequarter.language.localize import N_, _

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from threequarter.web.app import PhoneDoor

LOOPBACK = "127.0.0.1"
A_DAY_S = 24 * 3600.0


@click.command(
    help=N_("Open the pages in a browser. Only this computer can reach them unless you let phones in."),
    epilog="Example: threequarter serve --port 8754",
)
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8754,
    show_default=True,
    help=N_("Port to listen on; 0 picks a free one."),
)
@click.option("--data", type=click.Path(path_type=Path, file_okay=False), help=N_("Data folder."))
@click.option(
    "--listen",
    metavar="ADDRESS",
    default=LOOPBACK,
    show_default=True,
    help=N_("Address to listen on; 0.0.0.0 is all of them (an academy)."),
)
@click.option(
    "--host",
    "hosts",
    multiple=True,
    metavar="NAME",
    help=N_("Name people reach the server by, such as academy.example; repeat it for several."),
)
@click.option(
    "--certificate",
    type=click.Path(path_type=Path, dir_okay=False),
    help=N_("Certificate for https (PEM, with its chain)."),
)
@click.option(
    "--key", type=click.Path(path_type=Path, dir_okay=False), help=N_("Private key of the certificate (PEM).")
)
@click.option("--phones", is_flag=True, help=N_("Let paired phones on the local network in."))
@click.option(
    "--log",
    type=click.Choice(["warning", "info"]),
    default="warning",
    show_default=True,
    help=N_("What to log on standard error: only trouble, or each request too."),
)
@click.option(
    "--worker/--no-worker",
    default=True,
    help=N_("Measure clips in this process; otherwise `threequarter work` does it in others."),
)
@click.option("--browser/--no-browser", default=True, help=N_("Open the page in the browser."))
def command(
    port: int,
    data: Path | None,
    listen: str,
    hosts: tuple[str, ...],
    certificate: Path | None,
    key: Path | None,
    phones: bool,
    log: str,
    worker: bool,
    browser: bool,
) -> None:
    with _loading():
        from threequarter.jobs.shutdown import shut_down
        from threequarter.store import default_data_dir
        from threequarter.store.open_store import BACKUPS_VARIABLE, OFF
        from threequarter.web.app import make_app
        from threequarter.web.operation.logs import log_to_stderr

    log_to_stderr(log.upper())
    folder = data or default_data_dir()
    tls = _tls(certificate, key)
    listeners = [_listen("0.0.0.0" if phones else listen, port)]
    port = listeners[0].getsockname()[1]
    names = ["localhost", LOOPBACK]
    door = None
    if phones:
        listeners.append(_listen("0.0.0.0", 0 if port == 0 else port + 1))
        door, more = _door(folder, port, listeners[1].getsockname()[1])
        names += more
    ports = [listener.getsockname()[1] for listener in listeners]
    if listen not in (LOOPBACK, "0.0.0.0"):
        names.append(listen)
    known = {f"{name}:{p}" for name in (*names, *hosts) for p in ports} | {name.lower() for name in hosts}
    later = _PhonesLater(folder, port)
    app = make_app(
        folder,
        frozenset(known),
        door,
        work=worker,
        regular_backups=os.environ.get(BACKUPS_VARIABLE) != OFF,
        charts_ahead=True,
        phones_later=None if tls or phones or listen != LOOPBACK else later,
    )
    later.app = app
    address = f"{'https' if tls else 'http'}://{LOOPBACK}:{port}/"
    click.echo(
        _("threequarter is at {address} (ctrl-C ends it). Data: {folder}").format(
            address=address, folder=_place(folder)
        )
    )
    if door:
        click.echo(
            _("Phones: {plain} and, once trusted, {secure}; see {address}phones for how").format(
                plain=door.plain, secure=door.secure, address=address
            )
        )
    if browser:
        threading.Timer(0.8, webbrowser.open, (address + ("phones" if phones else ""),)).start()
    try:
        _run(app, listeners, folder, tls, door)
    finally:
        shut_down()  # a clip that is being measured is taken up at the next start, or by another worker


@contextlib.contextmanager
def _loading() -> "Iterator[None]":
    """What is loaded at the start stays; looking through it for what may go would cost a fifth of the start."""
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.enable()


def _place(folder: Path) -> str:
    """Where the data are, in words; no password."""
    from threequarter.store.database import engines, postgres

    url = engines.url_from_environment()
    return f"{postgres.shown(postgres.parse(url))}, {folder}" if url else str(folder)


def _tls(certificate: Path | None, key: Path | None) -> dict[str, Any]:
    """What https needs, looked at first. Raises UserError for a pair that is not whole, cannot be read or has ended."""
    from threequarter.cli.doctor_place import certificate_finding

    if certificate is None and key is None:
        return {}
    if certificate is None or key is None:
        raise UserError(_("https needs both: --certificate FILE and --key FILE."))
    if not key.is_file():
        raise UserError(_("{file} cannot be read.").format(file=key))
    found = certificate_finding(certificate, _("Certificate"), _("Put a new one there and start again."))
    if not found.well:
        raise UserError(f"{found.what} {certificate}: {found.found}. {found.cure}")
    return {"ssl_certfile": str(certificate), "ssl_keyfile": str(key)}


def _listen(host: str, port: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        listener.listen(128)  # before the address is told: whoever opens it at once waits instead of being refused
    except OSError:
        listener.close()
        raise UserError(
            _("Port {port} is taken, perhaps by a threequarter that runs already. Choose another: --port 0").format(
                port=port
            )
        ) from None
    return listener


def _door(folder: Path, plain_port: int, secure_port: int) -> "tuple[PhoneDoor, list[str]]":
    """The way in for phones, and the names the laptop answers to."""
    from threequarter.web.app import PhoneDoor
    from threequarter.web.phones.announcing import NAMES, announce_soon, host_name
    from threequarter.web.phones.certificates import certificates
    from threequarter.web.phones.pairing import Pairing

    addresses = local_addresses()
    if not addresses:
        raise UserError(
            _(
                "This computer has no address on a local network. Join one, or open a hotspot on the phone, and start again."
            )
        )
    names = [*NAMES, host_name()]
    made = certificates(folder / "phones", [*names, "localhost"], [*addresses, LOOPBACK])
    announced = announce_soon(addresses, secure_port)
    atexit.register(lambda: announced.close())
    door = PhoneDoor(
        pairing=Pairing(folder / "phones"),
        secure=f"https://{addresses[0]}:{secure_port}",
        plain=f"http://{addresses[0]}:{plain_port}",
        authority=made.authority,
        announced=announced,
        renew=lambda: certificates(folder / "phones", [*names, "localhost"], [*addresses, LOOPBACK]).chain.read_bytes(),
    )
    return door, [*addresses, *names]


def local_addresses() -> list[str]:
    """The private addresses of this computer, the one that leads out first. Nothing is sent to find them."""
    import ipaddress

    from threequarter.web.phones.certificates import PRIVATE

    nets = [ipaddress.ip_network(net) for net in PRIVATE if not net.startswith("127.")]
    found: list[str] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("10.255.255.255", 1))  # a datagram socket only chooses its way here, it sends nothing
            found.append(probe.getsockname()[0])
        except OSError:
            pass
    with contextlib.suppress(OSError):
        found += [str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    return [a for a in dict.fromkeys(found) if any(ipaddress.ip_address(a) in net for net in nets)]


class _PhonesLater:
    """Lets phones in while the pages run: the same app on the addresses of the local network, until the program ends."""

    def __init__(self, folder: Path, port: int) -> None:
        self.folder, self.port = folder, port
        self.app: Any = None
        self._turn = threading.Lock()

    def __call__(self, enter: "Callable[[PhoneDoor, frozenset[str]], None]") -> None:
        """Raises UserError where there is no network, or its addresses cannot be listened on."""
        with self._turn:
            plain = [_listen(address, self.port) for address in local_addresses()]
            secure = _listen("0.0.0.0", 0)
            try:
                door, names = _door(self.folder, self.port, secure.getsockname()[1])
            except UserError:
                for listener in (*plain, secure):
                    listener.close()
                raise
            ports = (self.port, secure.getsockname()[1])
            _serve_beside(_secure_config(self.app, self.folder, door), secure)
            for listener in plain:
                _serve_beside(_config(self.app, lifespan="off"), listener)
            enter(door, frozenset(f"{name}:{port}" for name in names for port in ports))


def _config(app: Any, **more: Any) -> Any:
    import uvicorn

    from threequarter.web.security.connections import BudgetedProtocol

    return uvicorn.Config(
        app,
        http=BudgetedProtocol,
        log_level="warning",
        server_header=False,
        date_header=False,
        access_log=False,
        proxy_headers=False,
        **more,
    )


def _secure_config(app: Any, folder: Path, door: "PhoneDoor | None") -> Any:
    """What the https of phones is served with; its certificate is kept fresh."""
    pem, key = str(folder / "phones" / "server.pem"), str(folder / "phones" / "server.key")
    config = _config(app, ssl_certfile=pem, ssl_keyfile=key, lifespan="off")
    if door and door.renew:
        threading.Thread(target=_keep_fresh, args=(config, door.renew, pem, key), daemon=True).start()
    return config


def _serve_beside(config: Any, listener: socket.socket) -> None:
    import uvicorn

    threading.Thread(target=uvicorn.Server(config).run, kwargs={"sockets": [listener]}, daemon=True).start()


def _run(
    app: Any, listeners: list[socket.socket], folder: Path, tls: dict[str, Any], door: "PhoneDoor | None" = None
) -> None:
    """Serves until ctrl-C; the second socket, where there is one, speaks https."""
    import uvicorn

    from threequarter.web.security.connections import quiet_repeats

    quiet_repeats()
    if len(listeners) > 1:
        _serve_beside(_secure_config(app, folder, door), listeners[1])
    uvicorn.Server(_config(app, **tls)).run(sockets=[listeners[0]])


def _keep_fresh(config: Any, renew: "Callable[[], bytes]", pem: str, key: str) -> None:
    """Once a day: a certificate that ends soon is made anew, and new connections get it without a restart."""
    held = renew()
    while True:
        time.sleep(A_DAY_S)
        with contextlib.suppress(OSError, ValueError):
            if (now := renew()) != held and config.ssl is not None:
                config.ssl.load_cert_chain(pem, key)
                held = now
