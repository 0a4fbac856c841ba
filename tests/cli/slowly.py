"""The command, whose blocks take a minute each: for a test that stops it in the middle. Says when it is at work."""

import time

from converter import pipeline
from converter.cli import main


def _slow(*_: object) -> None:
    print("at work", flush=True)
    time.sleep(60)


pipeline.alternatives = _slow  # type: ignore[assignment]
if __name__ == "__main__":
    main()
