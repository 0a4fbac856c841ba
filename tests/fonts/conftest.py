from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from fontTools.fontBuilder import FontBuilder

from converter.fonts.loading import Font, load_font
from tests.fonts.makers import saved


@pytest.fixture
def load(tmp_path: Path) -> Callable[..., Font]:
    """Write a font (bytes or builder) to a file and read it back with the converter."""

    def write_and_load(font: bytes | FontBuilder, name: str = "test.ttf", **options: Any) -> Font:
        path = tmp_path / name
        path.write_bytes(font if isinstance(font, bytes) else saved(font))
        return load_font(path, **options)

    return write_and_load
