"""The store: blocks by key, on the user's disk."""

from dataclasses import dataclass, field
from pathlib import Path

from platformdirs import user_cache_path

from converter.jobs import Job, Made
from converter.output.entries import Entries
from converter.store.engine import engine_version
from converter.store.entry import from_entry, to_entry
from converter.store.key import block_key

MOST_BYTES = 1_000_000_000  # some 200,000 blocks


def store_folder() -> Path:
    """Where blocks are kept unless the user says otherwise."""
    return user_cache_path("font2foundation", appauthor=False) / "blocks"


@dataclass(frozen=True, slots=True)
class BlockStore:
    """Blocks in a folder. What cannot be read or written there is only made anew, or not kept.

    ``engine``: whose blocks they are; as it was when the run began, should the program be changed under its feet.
    """

    folder: Path
    engine: str = field(default_factory=engine_version)

    @property
    def entries(self) -> Entries:
        """The files."""
        return Entries(self.folder)

    def find(self, job: Job) -> Made | None:
        """What an earlier run made of the same, checked; without the glyph's names and the designer's choices."""
        if not _takes_work(job):
            return None
        key = block_key(job, self.engine)
        entry = self.entries.read(key)
        return from_entry(key, job, entry) if entry else None

    def keep(self, job: Job, made: Made) -> bool:
        """Keeps a bare block for runs to come, unless the program failed on it; False where that cannot be done."""
        if made.log or not _takes_work(job):
            return True
        key = block_key(job, self.engine)
        return self.entries.write(key, to_entry(key, made))

    def trim(self) -> None:
        """Lets what was not used for longest go, if there is too much."""
        self.entries.trim(MOST_BYTES)


def _takes_work(job: Job) -> bool:
    return job.outline is not None and job.outline.kind == "outline"
