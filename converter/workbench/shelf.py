"""The sets that a workbench serves: those that it was opened with, those made under it, and their fonts."""

from pathlib import Path

from converter.errors import InputError
from converter.folder.reading import folders_of_sets, found_by_hash
from converter.fonts.loading import Font, load_font
from converter.store import BlockStore
from converter.workbench.alphabet import ALPHABET
from converter.workbench.opened import OpenSet

NEAR = 2  # folders above a set in which its font may lie


class Shelf:
    """Sets by their ids, which stand in addresses. ``place`` is where new ones are made; no other folder is served."""

    def __init__(
        self,
        place: Path,
        font: Path | None = None,
        settings: Path | None = None,
        store: BlockStore | None = None,
    ) -> None:
        self.place, self.store = place, store
        self._font, self._settings = font, settings
        self._sets: dict[str, OpenSet] = {}

    def add(self, folder: Path) -> OpenSet:
        """A folder that holds a set. Raises :class:`InputError` where it holds none."""
        for opened in self._sets.values():
            if opened.folder == folder:
                return opened
        stem = (
            "".join(c if c.isalnum() and c.isascii() else "-" for c in folder.resolve().name).strip("-")
            or "set"
        )
        name, number = stem, 1
        while name in self._sets:
            number += 1
            name = f"{stem}-{number}"
        opened = OpenSet(name, folder, self._settings or folder / ALPHABET, store=self.store)
        opened.font = self._font_of(opened)
        self._sets[name] = opened
        return opened

    def look_around(self) -> None:
        """Adds the sets that were made under the place."""
        for folder in folders_of_sets(self.place):
            try:
                self.add(folder)
            except InputError:
                continue  # damaged; its own command says what is wrong

    def all(self) -> list[OpenSet]:
        """All sets, in the order in which they came."""
        return list(self._sets.values())

    def get(self, name: str) -> OpenSet:
        """The set of an id. Raises :class:`InputError` where there is none."""
        if name not in self._sets:
            raise InputError("There is no such set here; open the start page.")
        return self._sets[name]

    def _font_of(self, opened: OpenSet) -> Font | None:
        source = opened.state().pattern.source
        folder = opened.folder.resolve()
        near = [folder, *folder.parents[:NEAR], self.place.resolve()]
        paths = [self._font] if self._font is not None else near
        path = found_by_hash(source.file, source.sha256, paths)
        if path is None:
            return None
        axes = opened.state().pattern.settings.get("axes")
        return load_font(path, axes=dict(axes) if isinstance(axes, dict) else {})
