"""A font that was dropped on the page, converted into a new set, letter by letter."""

from collections.abc import Callable
from concurrent.futures import BrokenExecutor, CancelledError, Executor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from converter.errors import InputError
from converter.fonts.choosing import Choice, choose_glyphs
from converter.fonts.licence import judge_licence, licence_message, refuse_restricted
from converter.fonts.loading import Font, font_of
from converter.fonts.plain import plain_text
from converter.jobs import Made
from converter.model import Licence
from converter.output import check_places, is_inside, one_run_at_a_time, write_folder
from converter.pipeline import convert
from converter.sets import write_set
from converter.settings import Settings
from converter.settings.definitions import RUN
from converter.store import BlockStore

FONTS = "font"  # the folder in a set where a font that was dropped is kept
OUT = "out"  # the folder in which new sets are made
GIVEN = ("block", "detail", "effort", "fit", "width")  # settings that the page asks for
LONGEST_NAME = 60


@dataclass(frozen=True, slots=True)
class Dropped:
    """A font file as it came, opened."""

    data: bytes
    font: Font
    licence: Licence

    @classmethod
    def of(cls, data: bytes, name: str, place: Path) -> "Dropped":
        """The font in the bytes of a file of that name. Raises :class:`InputError` where there is none."""
        font = font_of(data, name)
        return cls(data, font, judge_licence(font, place / OUT / FONTS))

    def told(self) -> dict[str, Any]:
        """What the page is told of it."""
        font = self.font
        stem = "".join(c if c.isalnum() and c.isascii() else "-" for c in font.file.partition(".")[0])
        return {
            "file": font.file,
            "title": f"{font.family} {font.style}".strip(),
            "characters": len(font.cmap),
            "has": [name for name, text in SOME.items() if all(ord(c) in font.cmap for c in text)],
            "verdict": self.licence.verdict,
            "warning": licence_message(font, self.licence),
            "name": stem.strip("-").lower()[:LONGEST_NAME] or "set",
        }


SOME = {
    "capitals": "ABCDEFGHIJKLMNOPQRSTUVWXYZ",
    "small letters": "abcdefghijklmnopqrstuvwxyz",
    "figures": "0123456789",
}


@dataclass(slots=True)
class Start:
    """One conversion: what is asked for, checked before it begins."""

    dropped: Dropped
    folder: Path
    choice: Choice
    settings: Settings
    licence: Licence
    is_stopped: bool = field(default=False)

    @classmethod
    def of(cls, dropped: Dropped, place: Path, said: Any) -> "Start":
        """What the page asks for. Raises :class:`InputError` for what cannot be done."""
        if not isinstance(said, dict):
            raise InputError("The page sent no wish; load it again.")
        name, text = str(said.get("name", "")).strip(), str(said.get("text", ""))
        if not is_inside(name) or "/" in name or name.startswith(".") or len(name) > LONGEST_NAME:
            raise InputError(f"{plain_text(name, 40)!r} is no name for a folder; use plain letters.")
        folder = place / OUT / name
        if folder.exists():
            raise InputError(f"{folder} is there already; choose another name.")
        values = {key: said[key] for key in GIVEN if said.get(key)}
        settings = Settings(**{key: RUN[key].kind.from_file(value) for key, value in values.items()})
        word = plain_text(str(said.get("checked", "")), 200)
        licence = judge_licence(dropped.font, place / OUT / FONTS, word)
        refuse_restricted(dropped.font, licence)
        if text.strip() == "*":
            choice = choose_glyphs(dropped.font, glyphs="*")
        else:
            choice = choose_glyphs(dropped.font, text=text)
        if not choice.glyphs:
            raise InputError(f"{dropped.font.file}: none of these characters is in the font.")
        return cls(dropped, folder, choice, settings, licence)

    def run(
        self, executor: Executor | None, on_done: Callable[[Made], None], store: BlockStore | None
    ) -> bool:
        """Converts and writes; False where it was stopped on the way, and nothing is written.

        Raises :class:`InputError` where the set cannot be written.
        """
        font = self.dropped.font
        with one_run_at_a_time(self.folder):
            check_places(self.folder, ("pattern.json",))
        try:
            conversion = convert(
                font, self.choice.glyphs, self.licence, self.settings, executor, on_done, store=store
            )
        except (RuntimeError, CancelledError) as error:  # processes that were ended fail in either way
            if self.is_stopped:
                return False
            if isinstance(error, BrokenExecutor):
                said = "A process was ended from outside, perhaps because memory ran out; try again."
                raise InputError(said) from None
            raise
        if self.is_stopped:
            return False
        write_set(self.folder, conversion)
        name = font.file if is_inside(font.file) and "/" not in font.file else "font"
        with one_run_at_a_time(self.folder):
            write_folder(self.folder, {f"{FONTS}/{name}": self.dropped.data})
        return True
