"""Fabrics told apart without colour: each but the background has a letter and a hatch of its own."""

from collections.abc import Mapping
from string import ascii_lowercase

from converter.model import BACKGROUND, Fabric, Glyph


def fabric_codes(fabrics: Mapping[str, Fabric]) -> dict[str, str]:
    """A letter a fabric, in the order of the set; the background has none, and one fabric beside it needs none."""
    others = [name for name in fabrics if name != BACKGROUND]
    return dict(zip(others, _letters(len(others)), strict=True)) if len(others) > 1 else {}


def has_several(glyph: Glyph) -> bool:
    """Whether a block has more fabrics than one and its background."""
    return len({piece.fabric for piece in glyph.pieces} - {BACKGROUND}) > 1


def label_of(fabric: str, fabrics: Mapping[str, Fabric], with_code: bool) -> str:
    """Such as ``rust (b)``; the id of a fabric that the set does not list."""
    code = fabric_codes(fabrics).get(fabric) if with_code else None
    label = fabrics[fabric].label if fabric in fabrics else fabric
    return f"{label} ({code})" if code else label


def _letters(count: int) -> list[str]:
    """a, b, … z, aa, ab, …"""
    names = []
    for number in range(1, count + 1):
        name = ""
        while number:
            number, letter = divmod(number - 1, 26)
            name = ascii_lowercase[letter] + name
        names.append(name)
    return names
