from pathlib import Path

import pytest

from converter.pattern import to_json
from tests.samples import sample_pattern


@pytest.fixture
def here(tmp_path, monkeypatch) -> Path:
    """An empty folder to run in, with a converted set in it."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "set").mkdir()
    (tmp_path / "set" / "pattern.json").write_text(to_json(sample_pattern()), encoding="utf-8")
    return tmp_path
