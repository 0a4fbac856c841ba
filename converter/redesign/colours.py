"""The fabrics that the colours of a drawing stand for: those of the set, and others as they are met."""

import math
from collections.abc import Callable, Mapping

from converter.model import Fabric
from converter.redesign.styles import Rgb
from converter.words.colours import PALETTE

ALIKE = 0.15  # of a channel's range; colours nearer than this are one: editors and eyes differ by less
SAME = 0.02  # so near that nothing is said of it
MOST_NEW = 12  # more colours than that are a picture, not fabrics


class Colours:
    """``known``: the set's fabrics by id. ``new`` and ``notes`` grow as colours are read."""

    def __init__(self, known: Mapping[str, Fabric]) -> None:
        self._known = known
        self.new: dict[str, Fabric] = {}
        self._notes: dict[str, None] = {}

    @property
    def notes(self) -> tuple[str, ...]:
        """What was decided about colours that are not the set's own, each once."""
        return tuple(self._notes)

    def fabric(self, fill: Rgb | None, said: str | None) -> str | None:
        """The id of a colour's fabric, or of what the file says where it has none; None where neither tells any."""
        if fill is None:
            return said if said in self._known else None
        every = {**self._known, **self.new}
        away, name = min((math.dist(fill, _rgb(fabric.colour)), name) for name, fabric in every.items())
        if away <= ALIKE:
            if away > SAME:
                near = every[name]
                self.note(f"{_hex(fill)} is nearly {near.colour} and is taken as the fabric {near.label}")
            return name
        if len(self.new) == MOST_NEW:
            return None
        colour = _hex(fill)
        label = next((name for name, own in PALETTE.items() if own == colour and name not in every), colour)
        self.new[label] = Fabric(label, colour)
        self.note(f"{colour} is no colour of the set: it is a fabric of its own, {label}")
        return label

    def near(self, colour: Rgb | None) -> str | None:
        """The id of a fabric that is there already and has nearly this colour; None where none has."""
        every = {**self._known, **self.new}
        if colour is None or not every:
            return None
        away, name = min((math.dist(colour, _rgb(fabric.colour)), name) for name, fabric in every.items())
        return name if away <= ALIKE else None

    def named(self, names: Callable[[str], bool]) -> str | None:
        """The first fabric whose id is such."""
        return next((name for name in {**self._known, **self.new} if names(name)), None)

    def note(self, words: str) -> None:
        """Keeps what was decided about a colour."""
        self._notes[words] = None


def _rgb(colour: str) -> Rgb:
    red, green, blue = (int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5))
    return red, green, blue


def _hex(fill: Rgb) -> str:
    return "#" + "".join(f"{round(255 * min(max(part, 0.0), 1.0)):02x}" for part in fill)
