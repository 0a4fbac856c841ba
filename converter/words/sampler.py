"""Samplers: rows and columns of symbols with a legend below each, from a list of names."""

from collections.abc import Sequence
from dataclasses import dataclass

from converter.errors import InputError

LONGEST_LEGEND = 60  # characters; more cannot be read below a block
LEGENDS_ARE = (
    "The legends are to be written or embroidered on the strip below each symbol; they are not pieced."
)


@dataclass(frozen=True, slots=True)
class Sampler:
    """The text of the rows, symbols as ``{name}``, and the legend of each symbol, row by row."""

    lines: tuple[str, ...]
    legends: tuple[str, ...]


def sampler(entries: Sequence[str], columns: int) -> Sampler:
    """The sampler of these symbols, each ``name`` or ``name = legend``; a name is its own legend.

    Raises :class:`InputError` for a legend that cannot be read, or where there is no symbol.

    >>> sampler(["kelp = Sugar kelp", "dulse", "sea-lettuce"], 2)
    Sampler(lines=('{kelp}{dulse}', '{sea-lettuce}'), legends=('Sugar kelp', 'dulse', 'sea-lettuce'))
    """
    if not entries:
        raise InputError("the sampler has no symbols; write one a line, like kelp = Sugar kelp.")
    names, legends = [], []
    for entry in entries:
        name, _, legend = (part.strip() for part in entry.partition("="))
        legend = legend or name
        if not name or not legend.isprintable() or len(legend) > LONGEST_LEGEND or set(name) & set("{}"):
            raise InputError(
                f"{entry[:60]!r} is not a symbol and a legend of at most {LONGEST_LEGEND} characters, "
                "like kelp = Sugar kelp."
            )
        names.append(f"{{{name}}}")
        legends.append(legend)
    rows = ["".join(names[k : k + columns]) for k in range(0, len(names), columns)]
    return Sampler(tuple(rows), tuple(legends))
