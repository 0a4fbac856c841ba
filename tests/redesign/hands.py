"""What hands and editors do to a block's drawing: small changes to the T of the samples (block 60 × 80 mm).

y 10 ─────────────  A7        upright: A5 (x 10), A2 (x 24), A3 (x 36), A6 (x 50)
y 22   ─────────    A4        the T is pieces A4 (bar) and A1 (stem)
y 70 ─────────────  A8
"""

import xml.etree.ElementTree as ET
from collections.abc import Callable

from converter.drawing.block import block_svg
from converter.model import Glyph
from converter.redesign.rebuild import Rebuilt, rebuild
from converter.sewing.search import Prices
from tests.samples import letter_t, sample_pattern

SVG = "http://www.w3.org/2000/svg"
INKSCAPE = "http://www.inkscape.org/namespaces/inkscape"
PRICES = Prices(section=1000, match=50)
ET.register_namespace("", SVG)

Change = Callable[["Hand"], None]


class Hand:
    """One drawing, open for changes."""

    def __init__(self, glyph: Glyph | None = None) -> None:
        glyph = glyph or letter_t()
        self.root = ET.fromstring(block_svg(sample_pattern(glyph), glyph))

    def layer(self, name: str) -> ET.Element:
        return next(g for g in self.root.iter(f"{{{SVG}}}g") if g.get("id") == name)

    def get(self, name: str) -> ET.Element:
        return next(e for e in self.root.iter() if e.get("id") == name)

    def seam(self, number: int) -> ET.Element:
        return self.get(f"seam-A{number}")

    def piece(self, number: int) -> ET.Element:
        return self.get(f"piece-A{number}")

    def move(self, number: int, **ends: float) -> None:
        for key, value in ends.items():
            self.seam(number).set(key, str(value))

    def line(self, x1: float, y1: float, x2: float, y2: float, **more: str) -> ET.Element:
        ends = {"x1": x1, "y1": y1, "x2": x2, "y2": y2}
        return self.add("seams", "line", **{k: str(v) for k, v in ends.items()}, **more)

    def add(self, layer: str, tag: str, **attributes: str) -> ET.Element:
        return ET.SubElement(self.layer(layer), f"{{{SVG}}}{tag}", attributes)

    def drop(self, *names: str) -> None:
        for parent in list(self.root.iter()):
            for child in list(parent):
                if child.get("id") in names:
                    parent.remove(child)

    def seams(self) -> list[ET.Element]:
        return list(self.layer("seams"))

    def save(self) -> bytes:
        return ET.tostring(self.root, encoding="utf-8", xml_declaration=True)


def rebuilt(data: bytes, width: float = 60.0, height: float = 80.0) -> Rebuilt:
    return rebuild(data, "T.svg", width, height, sample_pattern().fabrics, PRICES, 4000)
