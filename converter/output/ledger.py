"""Which files in a folder the program wrote, and what it wrote: ``written.json``.

What is not listed there is somebody else's, and what is no longer as it is listed was changed by hand.
"""

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path

from converter.budgets.files import WRITTEN_BYTES
from converter.errors import InputError
from converter.files import parse_json, read_file

LEDGER = "written.json"
_FORMAT, _VERSION = "font2foundation-written", 1


def digest(content: bytes | str) -> str:
    """The hash by which a file is known again (SHA-256, in hex)."""
    return hashlib.sha256(content.encode("utf-8") if isinstance(content, str) else content).hexdigest()


def is_inside(path: str) -> bool:
    """Whether a path with ``/`` stays inside the folder that it starts from, on any system."""
    return bool(path) and not any(
        part in ("", ".", "..") or set(part) & set("\\:\0") for part in path.split("/")
    )


def ledger_text(files: Mapping[str, str]) -> str:
    """The text of ``written.json``: the hash of each file by its path in the folder, one file a line."""
    lines = ",\n".join(f"  {json.dumps(path)}: {json.dumps(known)}" for path, known in sorted(files.items()))
    return f'{{\n "format": "{_FORMAT}",\n "version": {_VERSION},\n "files": {{\n{lines}\n }}\n}}\n'


def read_ledger(folder: Path) -> dict[str, str]:
    """What is listed in a folder; nothing where there is no list. Raises :class:`InputError` where it is damaged."""
    path = folder / LEDGER
    try:
        data = parse_json(read_file(path, WRITTEN_BYTES.most))
        if data["format"] != _FORMAT or data["version"] != _VERSION:
            raise ValueError("another format")
        files = dict(data["files"])
        if not all(type(known) is str and is_inside(name) for name, known in files.items()):
            raise ValueError("no list of files")
    except FileNotFoundError:
        return {}
    except (ValueError, KeyError, TypeError):
        raise InputError(
            f"{path} is damaged: without it the program cannot tell its files from yours. Restore it, "
            "or give another --out."
        ) from None
    return files
