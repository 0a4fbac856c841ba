"""What ``words`` reads from its options, and how it names a folder after a text."""

import re

from converter.errors import InputError
from converter.model import Fabric
from converter.units import parse_length
from converter.words.colours import parse_fabric
from converter.words.frames import Sides

_NAME_LENGTH = 40


def read_sides(text: str) -> Sides:
    """Strips on four sides from one length, or four: top, right, bottom, left."""
    lengths = [parse_length(part) for part in text.split(",")]
    if len(lengths) == 1:
        return Sides.all(lengths[0])
    if len(lengths) != 4:
        raise InputError(f"{text!r} is not one length or four (top,right,bottom,left).")
    return Sides(*lengths)


def read_spacing(text: str) -> tuple[bool, float]:
    """Whether letters are spaced by eye, and mm between them: added to the font's spacing, or the strip's width.

    >>> read_spacing("none"), read_spacing("eye"), read_spacing("eye-2mm"), read_spacing("10mm")
    ((False, 0.0), (True, 0.0), (True, -2.0), (False, 10.0))
    """
    asked = text.strip()
    if asked in ("none", "eye"):
        return asked == "eye", 0.0
    if asked.startswith(("eye+", "eye-")):
        return True, parse_length(asked[4:]) * (1 if asked[3] == "+" else -1)
    return False, parse_length(asked)


def read_own_colour(text: str) -> tuple[str, Fabric]:
    """A character and its fabric, from ``K=rust``; the first character may be = itself."""
    at = text.find("=", 1)
    if at < 0:
        raise InputError(f"{text!r} is not like K=rust or leaf=#4a5f23.")
    return text[:at].strip(" {}") or text[:at], parse_fabric(text[at + 1 :])


def folder_name(text: str) -> str:
    """A name for the folder of a text, safe on any disk: letters and digits, else code points.

    >>> folder_name("SOW IN MAY"), folder_name("{leaf}"), folder_name("?!")
    ('sow-in-may', 'leaf', 'u003f-u0021')
    """
    name = re.sub(r"[^\w]+", "-", text.casefold()).strip("-_")
    name = name or "-".join(f"u{ord(character):04x}" for character in text if not character.isspace())
    name = name[:_NAME_LENGTH].rstrip("-_")
    reserved = re.fullmatch(r"con|prn|aux|nul|(com|lpt)\d", name)  # Windows: names of devices
    return f"{name}-words" if reserved else name
