"""A font of a few letters that are converted at once, for tests of what stands round a conversion."""

from tests.fonts.makers import builder, polygon, saved, together

OFL = "This Font Software is licensed under the SIL Open Font License, Version 1.1."


def bar(left: float, bottom: float, right: float, top: float):
    return polygon((left, bottom), (left, top), (right, top), (right, bottom))


LETTERS = {
    "I": bar(100, 0, 300, 700),
    "L": polygon((50, 0), (50, 700), (250, 700), (250, 180), (500, 180), (500, 0)),
    "T": polygon((200, 0), (200, 520), (0, 520), (0, 700), (600, 700), (600, 520), (400, 520), (400, 0)),
    "i": together(bar(100, 0, 300, 450), bar(100, 520, 300, 700)),
    "-": bar(50, 300, 350, 312),
    "space": lambda pen: None,
}


def sea_font() -> bytes:
    """Its letters are I, L, T, i, - and the space."""
    cmap = {ord(name): name for name in LETTERS if len(name) == 1} | {32: "space"}
    return saved(builder(LETTERS, cmap=cmap, names={"licenseDescription": OFL}, sCapHeight=700))
