"""The server: reached from this machine alone, and ended by Ctrl-C."""

from socket import socket
from types import FrameType

import uvicorn

from converter.workbench.app import new_app
from converter.workbench.bench import Bench
from converter.workbench.guard import Guard

FONT_BYTES = 32_000_000  # of a font that is dropped on the page
LARGER = {"/api/fonts": FONT_BYTES}
AT_LAST = 10  # seconds that what is under way has, a save for one, once it is to end


class _Server(uvicorn.Server):
    """A server that lets go of those who only listen as soon as it is to end."""

    def __init__(self, config: uvicorn.Config, bench: Bench) -> None:
        super().__init__(config)
        self._bench = bench

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """On Ctrl-C, and on what ends a process."""
        self._bench.events.end()
        super().handle_exit(sig, frame)


def serve(bench: Bench, place: socket, token: str) -> None:
    """Answers at a bound socket until it is stopped. Raises KeyboardInterrupt then, as any program does."""
    port = place.getsockname()[1]
    config = uvicorn.Config(
        Guard(new_app(bench), token, port, LARGER),
        http="h11",
        ws="none",
        lifespan="on",
        log_level="critical",
        access_log=False,
        server_header=False,
        date_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=AT_LAST,
        timeout_keep_alive=30,
    )
    _Server(config, bench).run(sockets=[place])
