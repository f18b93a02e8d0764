"""`threequarter serve`: the pages, on this computer only."""

import socket
import threading
import webbrowser
from pathlib import Path

import click

from threequarter.golf.errors import UserError

LOOPBACK = "127.0.0.1"


@click.command(epilog="Example: threequarter serve --port 8754")
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8754,
    show_default=True,
    help="Port to listen on; 0 picks a free one.",
)
@click.option("--data", type=click.Path(path_type=Path, file_okay=False), help="Folder the data is kept in.")
@click.option("--browser/--no-browser", default=True, help="Open the page in the browser.")
def command(port: int, data: Path | None, browser: bool) -> None:
    """Open the pages in a browser. They are for this computer only."""
    import uvicorn

    from threequarter.store import default_data_dir
    from threequarter.web.app import make_app

    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((LOOPBACK, port))
        listener.listen(128)  # before the address is told: whoever opens it at once waits instead of being refused
    except OSError:
        raise UserError(
            f"Port {port} is taken, perhaps by a threequarter that runs already. Choose another: --port 0"
        ) from None
    port = listener.getsockname()[1]
    hosts = frozenset(f"{name}:{port}" for name in ("localhost", LOOPBACK))
    app = make_app(data or default_data_dir(), hosts)
    address = f"http://{LOOPBACK}:{port}/"
    click.echo(f"threequarter is at {address} (ctrl-C ends it). Data: {data or default_data_dir()}")
    if browser:
        threading.Timer(0.8, webbrowser.open, (address,)).start()
    config = uvicorn.Config(app, log_level="warning", server_header=False, date_header=False, access_log=False)
    uvicorn.Server(config).run(sockets=[listener])
