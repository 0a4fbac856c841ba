"""``font2foundation open``: a set in the browser, to choose, redraw and print."""

import os
import secrets
import socket
from pathlib import Path
from webbrowser import open as open_in_browser

import click

from converter.cli.options import example
from converter.cli.stopping import Stopped
from converter.cli.terminal import console
from converter.cli.types import PATH
from converter.cli.workers import LastingWorkers
from converter.errors import InputError
from converter.store import BlockStore, store_folder
from converter.workbench.bench import Bench
from converter.workbench.serving import serve
from converter.workbench.shelf import Shelf

_HELP = """Open the set in DIR in your browser, to choose, redraw and print there.

Without DIR, the sets under this folder, and a place to drop a font. What you do is written at once into DIR, as the
other commands write it: choices into alphabet.toml, redrawn blocks into blocks/. Only this machine can open the page.
"""


@click.command("open", help=_HELP, epilog=example("open out/village"))
@click.argument("folder", metavar="[DIR]", type=PATH, required=False)
@click.option("--font", type=PATH, help="The font of the set, where it is not found beside it.")
@click.option(
    "--settings",
    "settings_file",
    type=PATH,
    help="Write choices into this file.  [default: DIR/alphabet.toml]",
)
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=0,
    help="Listen at this port.  [default: any that is free]",
)
@click.option("--jobs", type=click.IntRange(1), default=os.cpu_count() or 1, help="Run this many processes.")
@click.option("--no-browser", is_flag=True, help="Show the address, and open no browser.")
def open_command(
    folder: Path | None, font: Path | None, settings_file: Path | None, port: int, jobs: int, no_browser: bool
) -> None:
    """Serves until Ctrl-C."""
    if folder is None and (font or settings_file):
        raise InputError("--font and --settings belong to one set; give its folder.")
    shelf = Shelf(folder.parent if folder else Path(), font, settings_file, BlockStore(store_folder()))
    if folder is not None:
        shelf.add(folder)
    else:
        shelf.look_around()
    place = _bound(port)
    token = secrets.token_urlsafe(24)
    address = f"http://127.0.0.1:{place.getsockname()[1]}/{token}/"
    screen = console()
    screen.say(f"open: {address}")
    screen.say("press Ctrl-C to stop")
    if not no_browser:
        open_in_browser(address)
    workers = LastingWorkers(jobs)
    try:
        serve(Bench(shelf, workers.executor, workers.stop, folder is not None), place, token)
    except Stopped:
        raise
    except KeyboardInterrupt:
        pass
    finally:
        workers.stop()
    screen.say("closed; all that the page showed as saved is saved")


def _bound(port: int) -> socket.socket:
    """A socket that only this machine reaches."""
    place = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name == "posix":
        place.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        place.bind(("127.0.0.1", port))
    except OSError as error:
        raise InputError(
            f"--port {port}: cannot be used ({error.strerror}); leave it out for any that is free."
        ) from None
    return place
