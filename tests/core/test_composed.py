"""A letter with an accent is its base letter's figure and the accent's, moved; dots that are the same are drawn so."""

import unicodedata
from functools import cache, partial

import pytest
from shapely.affinity import translate

from converter import GlyphSettings, Settings, choose_glyphs, judge_licence, load_font, pipeline
from converter.crew import Crew
from converter.polygons import polygons_of
from converter.verify import verify_glyph
from tests.fonts.makers import builder, polygon, saved, together
from tests.letters import SAMPLES

OFL = "This Font Software is licensed under the SIL Open Font License, Version 1.1."


def bar(left, bottom, right, top):
    return polygon((left, bottom), (left, top), (right, top), (right, bottom))


def leaning(left, bottom):
    return polygon((left, bottom), (left + 60, bottom + 110), (left + 190, bottom + 110), (left + 100, bottom))


L = polygon((50, 0), (50, 700), (250, 700), (250, 180), (500, 180), (500, 0))
LETTERS = {
    "I": bar(100, 0, 300, 700),
    "L": L,
    "Iacute": together(bar(140, 0, 340, 700), leaning(200, 790)),
    "Lacute": together(L, leaning(90, 790)),
    "i": together(bar(100, 0, 300, 450), bar(100, 530, 300, 700)),
    "exclam": together(bar(60, 250, 260, 700), bar(60, 0, 260, 170)),
    "iacute": together(bar(100, 0, 300, 450), leaning(150, 530)),
}
