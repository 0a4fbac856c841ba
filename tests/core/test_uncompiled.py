"""What is compiled gives the same pattern as plain Python does, byte for byte."""

import os
import subprocess
import sys
from pathlib import Path

from tests.fonts.makers import TEXT_FONTS

ROOT = Path(__file__).parents[2]
PROGRAM = """
import sys
from pathlib import Path
from converter import Settings, choose_glyphs, convert, judge_licence, load_font
from converter.pattern import to_json
import numba
print(numba.config.DISABLE_JIT, file=sys.stderr)
path = Path(sys.argv[1])
font = load_font(path)
chosen = choose_glyphs(font, text=sys.argv[2]).glyphs
print(to_json(convert(font, chosen, judge_licence(font, path.parent), Settings(effort="draft")).pattern))
"""


def pattern_of(text: str, disabled: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(TEXT_FONTS[0]), text],
        env={**os.environ, "NUMBA_DISABLE_JIT": disabled}, cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stderr.strip() == disabled
    return done.stdout


def test_a_pattern_is_the_same_without_the_compiler():
    # Stems, slants, bowls with two counters, and what is its own image after half a turn.
    compiled, plain = pattern_of("LVBS", "0"), pattern_of("LVBS", "1")
    assert '"pieces"' in compiled
    assert compiled == plain
