"""The copy with faults drawn on it: the layer comes last in the drawing, wherever that ends, and soon."""

import time
import xml.etree.ElementTree as ET

import pytest

from converter.redesign.faults import faults_svg
from tests.redesign.corpus import drawing, seams
from tests.redesign.hands import SVG, rebuilt

OPEN = seams("M0 40H30")
ENDINGS = {
    "plain": drawing(seams=OPEN),
    "spaces": drawing(seams=OPEN).replace(b"</svg>", b"</svg \n>\n\n"),
    "comments": drawing(seams=OPEN) + b"<!-- </svg> -->" * 50_000,
    "an instruction": drawing(seams=OPEN) + b"<!-- -->" * 30 + b"<?x </svg>?>",
    "ends within": drawing("<![CDATA[" + "</svg><!-- " * 20_000 + "]]>", seams=OPEN),
    "a prefix": drawing(seams=OPEN)
    .replace(b"<svg ", b"<s:svg xmlns:s='http://www.w3.org/2000/svg' ")
    .replace(b"</svg>", b"</s:svg>"),
}


@pytest.mark.parametrize("name", ENDINGS)
def test_the_layer_comes_last(name):
    data = ENDINGS[name]
    result = rebuilt(data)
    assert result.faults
    start = time.process_time()
    copy = faults_svg(data, result, 60.0)
    assert time.process_time() - start < 2
    assert ET.fromstring(copy)[-1].attrib["id"] == "faults"
    assert ET.fromstring(copy)[-1].tag == f"{{{SVG}}}g"
    assert len(ET.fromstring(copy)) == len(ET.fromstring(data)) + 1


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le"])
def test_no_copy_where_bytes_are_no_characters(encoding):
    data = drawing(seams=OPEN).decode().replace("'1.0'", "'1.0' encoding='utf-16'").encode(encoding)
    if encoding == "utf-16-le":
        data = b"\xff\xfe" + data
    assert faults_svg(data, rebuilt(data), 60.0) is None
