"""Put on the path of a server under test, and so of every process it starts: whoever speaks to another machine is written down and refused."""

import ipaddress
import os
import socket
import sys

_connect, _sendto, _lookup = socket.socket.connect, socket.socket.sendto, socket.getaddrinfo


def _foreign(address):  # type: ignore[no-untyped-def]
    if not isinstance(address, tuple) or not address:
        return False
    host = str(address[0])
    try:
        return not ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host not in ("localhost", "")


def _told(what, address):  # type: ignore[no-untyped-def]
    with open(os.environ["THREEQUARTER_TEST_SPOKEN"], "a", encoding="utf-8") as file:  # noqa: PTH123
        file.write(f"{what} {address!r} by {sys.argv[:3]}\n")
    raise OSError("refused by the test")


def connect(self, address):  # type: ignore[no-untyped-def]
    if _foreign(address) and self.type & socket.SOCK_STREAM:
        _told("connect", address)
    return _connect(self, address)


def sendto(self, *given):  # type: ignore[no-untyped-def]
    if _foreign(given[-1]):
        _told("sendto", given[-1])
    return _sendto(self, *given)


def getaddrinfo(host, *given, **more):  # type: ignore[no-untyped-def]
    if host and _foreign((host,)) and host != socket.gethostname():
        _told("look up", host)
    return _lookup(host, *given, **more)


socket.socket.connect, socket.socket.sendto, socket.getaddrinfo = connect, sendto, getaddrinfo  # type: ignore[method-assign,assignment]
