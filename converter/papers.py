"""Which papers (PDFs, lists, layouts) were made from a set, from which state of it, and which of them are out of date.

``papers.json`` in a converted folder holds, for each folder of papers, the command that made it, the hashes of its
files, and the hash of every block that it shows.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from converter.errors import InputError
from converter.files import parse_json
from converter.measures import units_of
from converter.model import Glyph, Pattern
from converter.pattern import glyph_line
from converter.publication import KEY

PAPERS = "papers.json"
SETTINGS = "the set's settings"  # what a paper can be older than, besides blocks
_FORMAT, _VERSION = "font2foundation-papers", 1

Options = Mapping[str, str | bool | tuple[str, ...]]  # as they were written, by the parameters' names


@dataclass(frozen=True, slots=True)
class State:
    """The hash of what all blocks share, and of each block by its key."""

    common: str
    blocks: Mapping[str, str]

    def only(self, keys: set[str]) -> "State":
        """The state of some blocks."""
        return State(self.common, {key: value for key, value in self.blocks.items() if key in keys})


@dataclass(frozen=True, slots=True)
class Paper:
    """A folder of papers: the command and its options, the hashes of its files, and the state that they show."""

    command: str
    options: Options
    files: Mapping[str, str]
    made_from: State
    whole: bool  # shows every block of the set, so that a new block makes it out of date

    def older_than(self, now: State) -> tuple[str, ...]:
        """The keys of the blocks that have changed since, or come, or gone; and :data:`SETTINGS` for all else."""
        then = self.made_from
        there = set(then.blocks) | (set(now.blocks) if self.whole else set())
        changed = sorted(key for key in there if then.blocks.get(key) != now.blocks.get(key))
        return (*changed, *((SETTINGS,) if then.common != now.common else ()))


def state_of(pattern: Pattern) -> State:
    """The state that papers made now would show."""
    common = [
        asdict(pattern.block),
        {name: asdict(fabric) for name, fabric in pattern.fabrics.items()},
        asdict(pattern.source),
        pattern.settings.get(KEY),
        units_of(pattern),
    ]
    return State(
        _digest(json.dumps(common, sort_keys=True)),
        {glyph.key: _digest(glyph_line(_shown(glyph))) for glyph in pattern.glyphs},
    )


def _shown(glyph: Glyph) -> Glyph:
    """A glyph without what no paper shows: notes, and the words of findings."""
    kept = [replace(r, message="", hint="", where=None) for r in glyph.reasons if r.severity != "note"]
    return replace(glyph, reasons=tuple(kept))


def digest_of(content: bytes | str) -> str:
    """The hash of a file's content (SHA-256, in hex)."""
    return hashlib.sha256(content.encode("utf-8") if isinstance(content, str) else content).hexdigest()


def _digest(text: str) -> str:
    return digest_of(text)


def papers_json(papers: Mapping[str, Paper]) -> str:
    """The text of ``papers.json``: papers by the path of their folder, from the set's folder."""
    data = {"format": _FORMAT, "version": _VERSION, "papers": {k: asdict(p) for k, p in papers.items()}}
    return json.dumps(data, ensure_ascii=False, indent=1, sort_keys=True) + "\n"


def parse_papers(text: str | bytes) -> dict[str, Paper]:
    """What :func:`papers_json` wrote. Raises :class:`InputError` for anything else."""
    try:
        data = parse_json(text)
        if data["format"] != _FORMAT or data["version"] != _VERSION:
            raise ValueError("another format")
        return {str(path): _paper(value) for path, value in data["papers"].items()}
    except (ValueError, KeyError, TypeError, AttributeError):
        raise InputError(f"{PAPERS} is damaged; delete it, and print again what you need.") from None


def _paper(value: Mapping[str, Any]) -> Paper:
    state = value["made_from"]
    options = {
        str(name): tuple(map(str, said)) if isinstance(said, list) else said if said is True else str(said)
        for name, said in value["options"].items()
    }
    return Paper(
        str(value["command"]),
        options,
        {str(name): str(digest) for name, digest in value["files"].items()},
        State(str(state["common"]), {str(key): str(digest) for key, digest in state["blocks"].items()}),
        bool(value["whole"]),
    )
