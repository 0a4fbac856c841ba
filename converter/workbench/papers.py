"""The PDFs of a set and words in its blocks, as ``print`` and ``words`` make them."""

import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any, get_args

from converter.errors import InputError
from converter.fabric.cutting_list import CAUTION
from converter.files import read_file
from converter.measures import size_text, units_of
from converter.printing.paper import PaperName
from converter.words.colours import ColourPlan, parse_fabric
from converter.words.making import WordsJob, assembly_lines, make_words, words_files
from converter.words.parts import LayoutSettings
from converter.workbench.opened import OpenSet

PRINT = "print"  # the folder in a set
PAPERS = {
    "instructions.pdf": "how each block is sewn, with templates",
    "characters.pdf": "one character a page",
    "sheets.pdf": "all templates on few pages",
    "proof.pdf": "for testers",
    "colouring.pdf": "to colour in",
}
MOST_PDF_BYTES = 500_000_000
LONGEST_TEXT = 400


def told_papers(opened: OpenSet) -> list[dict[str, Any]]:
    """The PDFs that there are."""
    return [
        {"name": name, "what": what, "size": (opened.folder / PRINT / name).stat().st_size}
        for name, what in PAPERS.items()
        if (opened.folder / PRINT / name).is_file()
    ]


def paper(opened: OpenSet, name: str) -> bytes:
    """One of the PDFs. Raises :class:`InputError` where there is none of that name."""
    if name not in PAPERS:
        raise InputError("There is no such paper.")
    try:
        return read_file(opened.folder / PRINT / name, MOST_PDF_BYTES)
    except FileNotFoundError:
        raise InputError("This paper has not been made yet.") from None


def make_papers(opened: OpenSet, said: Any) -> None:
    """Makes the PDFs by the command ``print``, in a process of its own: setting a page takes much memory.

    Raises :class:`InputError` with what the command says where it fails.
    """
    size = said.get("paper") if isinstance(said, Mapping) else None
    if not isinstance(size, str) or size not in get_args(PaperName):
        raise InputError("Choose the paper that you print on.")
    command = [
        sys.executable,
        "-m",
        "converter",
        "print",
        str(opened.folder.resolve()),
        "--paper",
        size,
        "--quiet",
    ]
    root = Path(__file__).parents[2]
    done = subprocess.run(
        command, capture_output=True, text=True, stdin=subprocess.DEVNULL, cwd=root, check=False
    )
    if done.returncode:
        lines = done.stderr.strip().splitlines() or ["The papers could not be made."]
        raise InputError(lines[-1].removeprefix("error: "))


def told_words(opened: OpenSet, said: Any) -> dict[str, Any]:
    """A text laid out in the set's blocks: its picture, its sizes, the fabric that it takes.

    Raises :class:`InputError` for a text that cannot be laid out.
    """
    text = str(said.get("text", "")) if isinstance(said, Mapping) else ""
    if not text.strip() or len(text) > LONGEST_TEXT:
        raise InputError(f"Type a word or some, up to {LONGEST_TEXT} characters.")
    pattern = opened.state().pattern
    units = units_of(pattern)
    letters = [name for name in str(said.get("letters", "")).split(",") if name.strip()]
    background = str(said.get("background", "")).strip()
    plan = ColourPlan(
        letters=tuple(map(parse_fabric, letters)),
        by="letter" if len(letters) > 1 else "set",
        background=parse_fabric(background) if background else None,
    )
    layout = LayoutSettings(by_eye=bool(said.get("byEye")))
    made = make_words(pattern, WordsJob(text, layout, plan, units))
    return {
        "drawing": words_files(made)["layout.svg"],
        "finished": size_text(made.layout.width, made.layout.height, units),
        "fabric": [[sheet.label, sheet.colour, sheet.buy] for sheet in made.sheets],
        "steps": list(assembly_lines(made.layout)),
        "notes": [*made.layout.notes, *made.colouring.warnings],
        "caution": CAUTION,
    }
