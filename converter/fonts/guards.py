"""Checks that fontTools leaves out while it reads CFF and CFF2.

A CFF2 INDEX states its length in 32 bits, and fontTools reserves that many entries before it looks for them:
33 GB for four flipped bytes, and with an offset size of 0 it reads nothing four thousand million times (met in
fontTools 4.68). The check stands in front of fontTools' own reader, and changes nothing for sound data.
:func:`converter.fonts.loading.load_font` puts it there, and leaves it, since glyphs are read from the open font
later; fontTools has no other place for it.
"""

import logging
import os
import struct
from typing import Any

from fontTools import cffLib

_read_index = cffLib.Index.__init__
_SILENT = logging.NullHandler()


def _checked_read_index(
    self: Any,
    file: Any = None,
    isCFF2: bool | None = None,  # noqa: N803 (fontTools' name)
    *rest: Any,
    **named: Any,
) -> None:
    if file is not None:
        _check_index(file, ">LB" if isCFF2 else ">HB")
    _read_index(self, file, isCFF2, *rest, **named)


def _check_index(file: Any, form: str) -> None:
    start = file.tell()
    count, offset_size = struct.unpack(
        form, file.read(struct.calcsize(form)).ljust(struct.calcsize(form), b"\0")
    )
    here = file.tell()
    room = file.seek(0, os.SEEK_END) - here
    file.seek(start)
    if count and (not 1 <= offset_size <= 4 or (count + 1) * offset_size > room):
        raise ValueError("an INDEX claims more entries than there is data")


def install() -> None:
    """Put the check in place, and keep fontTools from printing its doubts; more than once does no harm."""
    cffLib.Index.__init__ = _checked_read_index
    logging.getLogger("fontTools").addHandler(_SILENT)
