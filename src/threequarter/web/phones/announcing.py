"""A name on the local network by multicast DNS (RFC 6762), so that nobody has to type an address:
threequarter.local."""

import contextlib
import ipaddress
import socket
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from zeroconf import Zeroconf

NAMES: Final = ("threequarter.local", "threequarter-2.local", "threequarter-3.local", "threequarter-4.local")
"""The first that no other computer answers to; the certificate carries them all."""
SERVICE: Final = "_https._tcp.local."
LISTEN_MS: Final = 3000


@dataclass(slots=True)
class Announced:
    """The name that is announced, "" while none is; `why_not` says why where it does not work here; `close` takes it
    back."""

    name: str = ""
    why_not: str = ""
    close: Callable[[], None] = lambda: None


def announce(addresses: Sequence[str], port: int) -> Announced:
    """Announces the https address under a free name until it is closed. Never raises: without a name the address
    works."""
    try:
        return _announce(addresses, port)
    except Exception as error:  # noqa: BLE001 - multicast may be forbidden or missing in many ways; the page says that it is
        return Announced(why_not=str(error) or type(error).__name__)


def announce_soon(addresses: Sequence[str], port: int) -> Announced:
    """The same beside the start of the server: finding a free name takes some seconds."""
    found = Announced()
    closing = threading.Event()

    def work() -> None:
        done = announce(addresses, port)
        if closing.is_set():
            done.close()
            return
        found.name, found.why_not, found.close = done.name, done.why_not, done.close

    found.close = closing.set
    threading.Thread(target=work, daemon=True).start()
    return found


def _announce(addresses: Sequence[str], port: int) -> Announced:
    from zeroconf import IPVersion, ServiceInfo, Zeroconf

    if not addresses:
        return Announced(why_not="no address on a local network")
    speaker = Zeroconf(interfaces=list(addresses), ip_version=IPVersion.V4Only)
    try:
        name = _free_name(speaker, addresses)
        instance = name.removesuffix(".local")
        info = ServiceInfo(
            SERVICE,
            f"{instance}.{SERVICE}",
            addresses=[ipaddress.ip_address(one).packed for one in addresses],
            port=port,
            server=f"{name}.",
            properties={"path": "/bucket"},
        )
        speaker.register_service(info)
    except BaseException:
        speaker.close()
        raise

    def close() -> None:
        with contextlib.suppress(OSError, RuntimeError):
            speaker.unregister_service(info)
        speaker.close()

    return Announced(name, "", close)


def _free_name(speaker: "Zeroconf", addresses: Sequence[str]) -> str:
    from zeroconf import AddressResolverIPv4  # type: ignore[attr-defined]

    for name in NAMES:
        asked = AddressResolverIPv4(f"{name}.")
        if not asked.request(speaker, LISTEN_MS):
            return name
        if set(asked.parsed_addresses()) <= set(addresses):
            return name  # our own, from a moment ago
    raise OSError(f"{', '.join(NAMES)} are taken by other computers")


def host_name() -> str:
    """The computer's own name on the local network, which some systems announce themselves."""
    return f"{socket.gethostname().split('.')[0].lower()}.local"
