"""The settings of a run: what there is to set, the file, and what of it the pattern says."""

from converter.settings.definitions import DETAILS, Effort, GlyphSettings, Settings
from converter.settings.file import (
    own_of_text,
    read_accepted,
    read_pattern_table,
    read_settings_text,
    resolve_settings,
)

__all__ = [
    "DETAILS",
    "Effort",
    "GlyphSettings",
    "Settings",
    "own_of_text",
    "read_accepted",
    "read_pattern_table",
    "read_settings_text",
    "resolve_settings",
]
