"""What a font calls itself and its glyphs, made safe to print. (Source: OpenType, name table.)"""

from collections.abc import Mapping

from fontTools.ttLib import TTFont

from converter.budgets import fonts as budgets
from converter.fonts.plain import is_plain_glyph_name, plain_text


def plain_glyph_names(order: list[str]) -> dict[str, str]:
    """The font's own glyph name behind each name that is safe to show, in the font's order."""
    taken = set(order)
    names: dict[str, str] = {}
    for number, own in enumerate(order):
        name = own
        if not is_plain_glyph_name(own):
            name = f"glyph{number:05}"
            while name in taken:
                name += "_"
            taken.add(name)
        names[name] = own
    return names


def read_name(font: TTFont, name_ids: tuple[int, ...], limit: int) -> str:
    """The first of these entries of the name table that says something, English where there is a choice."""
    if "name" not in font:
        return ""
    try:
        records = list(font["name"].names)
    except Exception:  # a damaged name table costs the names, not the font
        return ""
    for name_id in name_ids:
        fitting = [record for record in records if record.nameID == name_id]
        fitting.sort(key=lambda r: ((r.platformID, r.langID) not in ((3, 0x409), (1, 0)), r.platformID != 3))
        for record in fitting:
            try:
                text = plain_text(record.toUnicode(errors="replace"), limit)
            except Exception:  # an encoding that Python does not know
                continue
            if text:
                return text
    return ""


def read_style(font: TTFont, place: Mapping[str, float]) -> str:
    """The style of the default instance, else the name of the instance at that place, else its axes."""
    if not place:
        return read_name(font, (17, 2), budgets.NAME.most) or "Regular"
    for instance in font["fvar"].instances:
        if dict(instance.coordinates) == dict(place):
            named = read_name(font, (instance.subfamilyNameID,), budgets.NAME.most)
            if named:
                return named
    return plain_text(" ".join(f"{tag}={value:g}" for tag, value in place.items()), budgets.NAME.most)
