"""The command, whose blocks take a minute each: for a test that stops it in the middle. Says when it is at work."""

import time

from converter import pipeline
from converter.cli import main


def _slow(*_: object) -> None:
    print("at work", flush=True)
    for _ in range(
        6000
    ):  # no long sleep: a signal that comes just before one begins is seen only when it ends
        time.sleep(0.01)


if __name__ == "__main__":  # not where it is only imported, to look for examples in it
    pipeline.alternatives = _slow  # type: ignore[assignment]
    main()
