import json
import re
from dataclasses import replace
from html.parser import HTMLParser

from converter.model import Finding, Licence
from converter.report.html_report import report_html
from tests.report.samples import large_pattern, small_pattern
from tests.samples import letter_i, sample_pattern

HOSTILE = "</script><script>alert(1)</script><img src=x onerror=alert(2)>\u2028&amp;\x00\ud800{{ 7*7 }}"


class Page(HTMLParser):
    """Tags with their attributes, ids and the text in each script."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.scripts: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag == "script":
            self.scripts.append("")

    def handle_data(self, data):
        if self.tags and self.tags[-1][0] == "script":
            self.scripts[-1] += data


def data(text: str):
    """What the page is told, each glyph with the rest of it, as the page's script puts them together."""
    head, blocks, _ = Page(text).scripts
    told = json.loads(head)
    rest = [json.loads(line) for line in blocks.strip().split("\n") if line]
    told["glyphs"] = [glyph | more for glyph, more in zip(told["glyphs"], rest, strict=True)]
    return told


def test_the_page_needs_no_other_file_and_no_network():
    text = report_html(small_pattern())
    for _, attributes in Page(text).tags:
        for name in ("src", "href", "action", "data", "srcset"):
            assert (attributes.get(name) or "data:,").startswith("data:")
    assert not re.search(r"url\(|@import|https?://(?!openfontlicense|www\.w3\.org/2000/svg)", text)
    assert "default-src 'none'" in text


def test_the_head_sums_the_set_up():
    text = re.sub(r"\s+", " ", report_html(small_pattern()))
    for said in (
        "Handmade Bold",
        "5 characters",
        "60 × 80 mm",
        "OFL-1.1",
        "not legal advice",
        "min piece width",
    ):
        assert said in text
    for count, status in ((1, "redesign"), (1, "review"), (2, "ready"), (1, "blank")):
        assert f"<b>{count}</b> <span>{status}</span>" in text


def test_without_javascript_the_reasons_can_be_read_redesign_first():
    text = report_html(small_pattern())
    table = text[text.index("<noscript>") : text.index("</noscript>")]
    assert re.findall(r"<tr><td>(.*?)</td>", table) == ["T_", "A_", "I_", "+_", "space"]
    assert "Piece A2 is 2.1 mm wide. Widen the notch." in table


def test_the_page_holds_each_glyph_with_pieces_and_outline():
    guide = [[((1.234, 2.0), (3.0, 4.0), (5.0, 6.0))]]
    glyphs = data(report_html(small_pattern(), {"T_": guide}))["glyphs"]
    assert [g["key"] for g in glyphs] == ["I_", "T_", "A_", "+_", "space"]
    assert glyphs[1]["guide"] == "M1.23 2L3 4L5 6Z"
    assert [len(g["pieces"]) for g in glyphs] == [5, 8, 5, 11, 0]
    assert glyphs[1]["reasons"][0][6] == 1  # the place of piece A2 in the list of pieces


def test_names_from_fonts_cannot_leave_their_place():
    reason = Finding("odd", "review", HOSTILE, hint=HOSTILE)
    glyph = replace(letter_i(), name=HOSTILE, text=HOSTILE, reasons=(reason,))
    pattern = sample_pattern(glyph)
    licence = Licence(HOSTILE, "javascript:alert(3)", 0, "unknown", HOSTILE, HOSTILE, HOSTILE)
    source = replace(pattern.source, family=HOSTILE, file=HOSTILE, licence=licence)
    text = report_html(replace(pattern, source=source, settings={HOSTILE: HOSTILE}))
    page = Page(text)
    assert len(page.scripts) == len(Page(report_html(small_pattern())).scripts) == 3
    assert not any("onerror" in attributes or tag == "img" for tag, attributes in page.tags)
    assert not any("javascript:" in (v or "") for _, attributes in page.tags for v in attributes.values())
    assert "49" not in re.sub(r"U\+0049|<style>.*?</style>|<script>.*?</script>", "", text, flags=re.S)
    assert data(text)["glyphs"][0]["name"] == HOSTILE
    text.encode("utf-8")


def test_the_same_pattern_makes_the_same_bytes():
    assert report_html(small_pattern()) == report_html(small_pattern())


def test_two_thousand_glyphs_stay_a_small_file():
    assert len(report_html(large_pattern(2000)).encode()) < 4_000_000


def hand(**settings):
    """The section on what the letters share, as text; empty where there is none."""
    text = report_html(replace(small_pattern(), settings={"min_piece_width": 3.175, **settings}))
    found = re.search(r'<section class="hand".*?</section>', text, re.S)
    return re.sub(r"\s+", " ", re.sub(r"<.*?>", " ", found[0])) if found else ""


def test_what_the_letters_share_is_told_once():
    shown = hand(heights=[10.0, 22.25, 70.0], stems=[12.0], bars=[], slopes=[63.5, 71.0])
    assert "heights 10.0, 22.2, 70.0 mm where level edges stand" in shown
    assert "stems 12.0 mm how wide upright strokes are" in shown
    assert "bars" not in shown
    assert "slopes 63.5, 71.0° how slanted edges lean" in shown
    settings = report_html(replace(small_pattern(), settings={"heights": [10.0], "grid": 1.5}))
    assert "<dt>heights</dt>" in settings
    assert settings.count("heights</dt>") == 1  # not among the settings, too: it was found, not set
    assert "<dt>grid</dt>" in settings


def test_nothing_shared_is_no_section():
    for settings in ({}, {"heights": []}, {"heights": "10", "stems": [None], "bars": 7, "slopes": [True]}):
        assert hand(**settings) == ""
