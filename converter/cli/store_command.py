"""``font2foundation store``: where finished blocks are kept, how many, how large; and an end of them."""

from pathlib import Path

import click

from converter.cli.options import CACHE, example
from converter.cli.terminal import console
from converter.files import megabytes
from converter.store import MOST_BYTES, BlockStore, store_folder

_HELP = """Show where finished blocks are kept, and how many there are.

convert keeps each block that it makes, and takes it from there when the same is asked for again. What has not been
used for longest goes first when there is too much; nothing is lost with it but time.
"""


@click.command("store", help=_HELP, epilog=example("store --empty"))
@click.option("--empty", is_flag=True, help="Delete all finished blocks that are kept.")
@CACHE
def store_command(empty: bool, cache: Path | None) -> None:
    """Tells, or deletes."""
    store, screen = BlockStore(cache or store_folder()), console()
    if empty:
        screen.say(f"deleted from {store.folder}: {store.entries.empty():,} blocks")
        return
    blocks, size = store.entries.usage()
    screen.say(str(store.folder))
    screen.say(f"{blocks:,} blocks, {size / 1e6:,.1f} MB; at most {megabytes(MOST_BYTES)} are kept")
