"""Connections have a budget: half-sent requests end, others are still answered, and a flood does not fill the log."""

import asyncio
import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

import uvicorn

from threequarter.web.security.connections import BudgetedProtocol, OnceAMinute


async def answering(scope: Any, receive: Any, send: Any) -> None:
    """A small application that reads the body and says how long it was."""
    if scope["type"] != "http":
        return
    size = 0
    while True:
        message = await receive()
        size += len(message.get("body", b""))
        if message["type"] == "http.disconnect" or not message.get("more_body"):
            break
    await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"%d" % len(str(size)))]})
    await send({"type": "http.response.body", "body": str(size).encode()})


@asynccontextmanager
async def serving(**bounds: float) -> AsyncIterator[int]:
    protocol = type("Low", (BudgetedProtocol,), bounds)
    server = uvicorn.Server(uvicorn.Config(answering, port=0, http=protocol, log_level="critical", lifespan="off"))
    running = asyncio.create_task(server.serve())
    while not server.started:
        await asyncio.sleep(0.01)
    try:
        yield server.servers[0].sockets[0].getsockname()[1]
    finally:
        server.should_exit = True
        await running


async def ask(port: int, body: bytes = b"") -> bytes:
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    writer.write(b"POST / HTTP/1.1\r\nhost: a\r\nconnection: close\r\ncontent-length: %d\r\n\r\n" % len(body) + body)
    try:
        return await reader.read()
    except ConnectionError:
        return b""
    finally:
        writer.close()


async def ends(reader: asyncio.StreamReader) -> bool:
    try:
        return await asyncio.wait_for(reader.read(), 30) == b""
    except (ConnectionError, TimeoutError):
        return False


def test_a_request_whose_headers_never_end_is_closed_and_others_are_answered() -> None:
    async def run() -> None:
        async with serving(header_s=0.3, look_every_s=0.3) as port:
            reader, writer = await asyncio.open_connection("127.0.0.1", port)
            writer.write(b"GET / HTTP/1.1\r\nhost: ")
            assert (await ask(port)).endswith(b"0")
            assert await ends(reader)
            writer.close()

    asyncio.run(run())


def test_a_body_that_does_not_come_is_closed_and_a_whole_one_is_taken() -> None:
    async def run() -> None:
        async with serving(header_s=0.3, look_every_s=0.3) as port:
            reader, writer = await asyncio.open_connection("127.0.0.1", port)
            writer.write(b"POST / HTTP/1.1\r\nhost: a\r\ncontent-length: 100000\r\n\r\nabc")
            assert (await ask(port, b"x" * 200_000)).endswith(b"200000")
            assert await ends(reader)
            writer.close()

    asyncio.run(run())


def test_above_the_ceiling_a_connection_is_closed_and_its_place_comes_back() -> None:
    async def run() -> None:
        async with serving(most_at_once=3) as port:
            held = [await asyncio.open_connection("127.0.0.1", port) for _ in range(3)]
            reader, refused = await asyncio.open_connection("127.0.0.1", port)
            assert await ends(reader)
            refused.close()
            for _reader, writer in held:
                writer.close()
                await writer.wait_closed()
            for _ in range(300):
                if (await ask(port)).endswith(b"0"):
                    return
                await asyncio.sleep(0.05)
            raise AssertionError("no place came back")

    asyncio.run(run())


def test_a_line_that_repeats_itself_is_written_once_and_then_counted() -> None:
    held = OnceAMinute(pause_s=1e9)
    line = logging.LogRecord("asyncio", logging.ERROR, "here.py", 1, "too many open files", None, None)
    other = logging.LogRecord("asyncio", logging.ERROR, "here.py", 2, "another", None, None)
    assert [held.filter(line) for _ in range(1000)].count(True) == 1
    assert held.filter(other)
    held.pause_s = 0
    assert held.filter(line)
    assert line.msg == "too many open files (and 999 times more since it was last written)"
