"""Blocks saved by another program while a set is open here are taken in, and every open page hears of it."""

from pathlib import Path

import anyio
from anyio import to_thread

from converter.checking import check_folder
from converter.errors import InputError
from converter.folder.keeping import BLOCKS
from converter.workbench.events import Events
from converter.workbench.opened import PARTS, OpenSet
from converter.workbench.shelf import Shelf
from converter.workbench.stamps import Stamps, stamps_of

POLL = 0.5  # seconds between looks at the files


async def watch(shelf: Shelf, events: Events) -> None:
    """Looks, again and again, until it is cancelled."""
    seen: dict[str, tuple[Stamps, Stamps]] = {}
    while True:
        for opened in shelf.all():
            seen[opened.id] = await to_thread.run_sync(_look, opened, events, seen.get(opened.id))
        await anyio.sleep(POLL)


def _look(opened: OpenSet, events: Events, before: tuple[Stamps, Stamps] | None) -> tuple[Stamps, Stamps]:
    blocks, parts = _stamps(opened.folder)
    if before is not None and blocks == before[0] and parts == before[1]:
        return before
    newest = max((stamp[0] for stamp in blocks.values()), default=0)
    if newest > max((stamp[0] for stamp in parts.values()), default=0) and (
        before is None or blocks != before[0]
    ):
        try:
            with opened.lock:
                check_folder(opened.folder)
        except InputError:  # another run is at work, or something there cannot be read: the next look may
            return before or ({}, {})
        parts = _stamps(opened.folder)[1]
    if before is not None:
        events.tell("changed", set=opened.id)
    return blocks, parts


def _stamps(folder: Path) -> tuple[Stamps, Stamps]:
    return stamps_of((folder / BLOCKS).rglob("*.svg")), stamps_of(folder / part for part in PARTS)
