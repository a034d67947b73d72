"""`demo` and `serve`: the app over a shop, on this machine unless `--lan` opens it to the shop's network."""

from __future__ import annotations

import json
import socket
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from underdial.cli.frame import shop_option
from underdial.errors import BadInput, MachineRefused

if TYPE_CHECKING:
    from underdial.bench.shop import Shop

_PORTS = click.IntRange(0, 65535)


@click.command("demo")
@click.option(
    "--folder",
    type=click.Path(path_type=Path),
    default=None,
    help="Where the demo shop is kept; else the user's data folder.",
)
@click.option("--port", type=_PORTS, default=8080, show_default=True, help="0 takes any free port.")
@click.option("--no-browser", is_flag=True, help="Do not open the browser.")
@click.option("--json", "as_json", is_flag=True, help='Print {"url": …} first.')
def demo_command(folder: Path | None, port: int, no_browser: bool, as_json: bool) -> None:
    """Open the app on a demo shop of three invented clocks.

    The shop is made when its folder is empty and kept as it was left.
    """
    from platformdirs import user_data_path

    from underdial.bench.demo import open_demo

    listening = _listen(
        port,
        lan=False,
        or_any=click.get_current_context().get_parameter_source("port") == click.core.ParameterSource.DEFAULT,
    )
    shop = open_demo(folder or user_data_path("underdial-demo", appauthor=False))
    _run(shop, listening, lan=False, browser=not no_browser and not as_json, as_json=as_json)


@click.command("serve")
@shop_option
@click.option("--port", type=_PORTS, default=8080, show_default=True, help="0 takes any free port.")
@click.option(
    "--lan", is_flag=True, help="Answer the shop's network too: anyone on it can read addresses and alter records."
)
@click.option("--browser", is_flag=True, help="Open the browser.")
@click.option("--json", "as_json", is_flag=True, help='Print {"url": …} first.')
def serve_command(shop: Path | None, port: int, lan: bool, browser: bool, as_json: bool) -> None:
    """Open the app on the shop's own folder.

    It answers on this machine only. With --lan other benches reach it, and so does anyone else on that network: there
    is no password, and what passes is not encrypted. Browsers give microphone and camera there only over a trusted
    https, so findings are written by the plain forms.
    """
    from underdial.bench.shop import open_shop

    listening = _listen(port, lan=lan)
    _run(open_shop(shop), listening, lan=lan, browser=browser, as_json=as_json)


def _listen(port: int, *, lan: bool, or_any: bool = False) -> socket.socket:
    """A socket that listens, taken before anything else is done; `or_any` falls back to a free port."""
    host = "0.0.0.0" if lan else "127.0.0.1"
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
    except PermissionError as wrong:
        raise MachineRefused(
            "port", port, "1024 to 65535", f"port: {port} may not be used by this user; take one from 1024 on"
        ) from wrong
    except OSError as wrong:
        if not or_any:
            raise BadInput(
                "port",
                port,
                "a free port, or 0 for any",
                f"port: {port} is in use; give another, or 0 for any free one",
            ) from wrong
        listening.bind((host, 0))
    listening.listen(128)
    return listening


def _run(shop: Shop, listening: socket.socket, *, lan: bool, browser: bool, as_json: bool) -> None:
    import uvicorn

    from underdial.bench.warming import warm_aside
    from underdial.web.app import create_app

    port = listening.getsockname()[1]
    url = f"http://{socket.gethostname() if lan else '127.0.0.1'}:{port}/"
    app = create_app(shop, lan=lan)
    warm_aside()
    click.echo(json.dumps({"url": url}) if as_json else f"The shop is open at {url} (Ctrl-C closes it).")
    sys.stdout.flush()
    if browser:
        click.launch(url)
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning", access_log=False, server_header=False))
    server.run(sockets=[listening])
