"""The signals that end a run from outside."""

import signal
from types import FrameType

# Windows has no SIGHUP.
STOPPING = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]


class Stopped(KeyboardInterrupt):
    """A signal other than Ctrl-C's ended the run; it is left in the same way."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number = number


def stop_on_signals() -> None:
    """Lets SIGTERM and SIGHUP end this process as Ctrl-C does; the second one ends it at once.

    What is ignored, as nohup lets a process ignore a hang-up, stays so.
    """
    for number in STOPPING:
        if number != signal.SIGINT and signal.getsignal(number) == signal.SIG_DFL:
            signal.signal(number, _stop)


def _stop(number: int, frame: FrameType | None) -> None:
    del frame
    signal.signal(number, signal.SIG_DFL)
    raise Stopped(number)
