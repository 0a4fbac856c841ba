"""What all requests of the page share: the sets, the letters under a hand, the conversion that is under way."""

from collections.abc import Callable
from concurrent.futures import Executor
from threading import Thread
from typing import Any

from converter.errors import InputError
from converter.jobs import Made
from converter.model import BACKGROUND, FIGURE
from converter.workbench.events import Events
from converter.workbench.letter import Letter, cut, open_letter
from converter.workbench.opened import OpenSet, State
from converter.workbench.shelf import Shelf
from converter.workbench.starting import Dropped, Start
from converter.workbench.told import told_made


class Bench:
    """What all requests share.

    ``executor`` gives the processes that many letters are made in; ``stop`` ends what they do. ``is_one``: one set was
    opened, which a page shows at once.
    """

    def __init__(
        self, shelf: Shelf, executor: Callable[[], Executor], stop: Callable[[], None], is_one: bool = False
    ) -> None:
        self.shelf, self.events, self._executor, self._stop = shelf, Events(), executor, stop
        self.is_one = is_one
        self._dropped: Dropped | None = None
        self._start: Start | None = None
        self._letters: dict[tuple[str, str], tuple[State, Letter]] = {}

    def letter(self, opened: OpenSet, key: str) -> Letter:
        """A letter, kept until the set changes."""
        state = opened.state()
        kept = self._letters.get((opened.id, key))
        if kept is None or kept[0] is not state:
            kept = self._letters[opened.id, key] = state, open_letter(state, key)
        return kept[1]

    def warm_up(self) -> None:
        """Cuts one block, so that what is compiled is ready before the first drag."""
        for opened in self.shelf.all()[:1]:
            for glyph in opened.state().pattern.glyphs[:1]:
                letter = self.letter(opened, glyph.key)
                if letter.drawn:
                    cut(letter, letter.drawn)

    def drop(self, data: bytes, name: str) -> Dropped:
        """A font that came, in place of the one before."""
        self._dropped = Dropped.of(data, name, self.shelf.place)
        return self._dropped

    def start(self, said: Any) -> Start:
        """Begins a conversion of the font that came last, in a thread; the pages hear how it goes on."""
        if self._dropped is None:
            raise InputError("Drop a font first.")
        if self._start is not None:
            raise InputError("A conversion is under way; wait until it has ended, or stop it.")
        start = self._start = Start.of(self._dropped, self.shelf.place, said)
        Thread(target=self._run, args=(start,), daemon=True).start()
        return start

    def stop(self) -> None:
        """Ends the conversion that is under way."""
        if self._start is not None:
            self._start.is_stopped = True
            self._stop()

    def _run(self, start: Start) -> None:
        total, background = len(start.choice.glyphs), start.settings.background_colour
        colours = {BACKGROUND: background, FIGURE: start.settings.figure_colour}

        def tell(made: Made) -> None:
            self.events.tell("made", total=total, **told_made(made, start.settings.block, colours))

        try:
            if start.run(self.processes(total), tell, self.shelf.store):
                self.events.tell("progress", done=self.shelf.add(start.folder).id)
            else:
                self.events.tell("progress", stopped=True)
        except InputError as error:
            self.events.tell("progress", error=str(error))
        except Exception as error:
            self.events.tell(
                "progress", error=f"The program failed ({type(error).__name__}); nothing was written."
            )
            raise
        finally:
            self._start = None

    def processes(self, letters: int) -> Executor | None:
        """Processes for so many letters; None where it is not worth it."""
        return self._executor() if letters > 2 else None
