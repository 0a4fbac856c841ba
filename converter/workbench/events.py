"""What the server tells the pages that are open, as it happens (server-sent events)."""

import json
from collections.abc import AsyncIterator
from queue import Empty, SimpleQueue
from typing import Any

import anyio

PAUSE = 0.1  # seconds between looks at what there is to tell
ALIVE = 100  # looks, after which a line without meaning shows whether anybody still listens


class Events:
    """Told from any thread, heard by every open page."""

    def __init__(self) -> None:
        self._listeners: set[SimpleQueue[str]] = set()
        self._ended = False

    def tell(self, kind: str, **said: Any) -> None:
        """Tells all pages."""
        text = f"event: {kind}\ndata: {json.dumps(said)}\n\n"
        for listener in list(self._listeners):
            listener.put(text)

    def end(self) -> None:
        """Ends all that is listened to."""
        self._ended = True

    async def heard(self) -> AsyncIterator[str]:
        """What one page hears, from now on; first a greeting, for a page may have missed what was told before."""
        mine: SimpleQueue[str] = SimpleQueue()
        self._listeners.add(mine)
        try:
            yield "event: hello\ndata: {}\n\n"
            idle = 0
            while not self._ended:
                try:
                    yield mine.get_nowait()
                    idle = 0
                except Empty:
                    await anyio.sleep(PAUSE)
                    idle += 1
                    if idle % ALIVE == 0:
                        yield ": still here\n\n"
        finally:
            self._listeners.discard(mine)
