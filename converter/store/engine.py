"""Which engine makes the blocks: the text of all that decides about one, and the libraries whose numbers it takes."""

from functools import cache
from hashlib import sha256
from pathlib import Path

import numba
import numpy
import shapely

# Modules and packages whose text decides what a block becomes, once its outline is read. tests/store holds this to what
# `pipeline` imports.
ENGINE = (
    "budgets", "compiled", "difficulty", "fidelity", "findings", "geometry", "jobs", "limits", "measures", "model",
    "pipeline", "placement", "polygons", "settings", "sewing", "straighten", "units", "unity", "verify", "wish",
)  # fmt: skip


@cache
def engine_version() -> str:
    """A digest that is another as soon as an engine may make other blocks (SHA-256, in hex)."""
    here = Path(__file__).parents[1]
    text = sha256()
    for name in ENGINE:
        for file in sorted([*(here / name).rglob("*.py"), *here.glob(f"{name}.py")]):
            text.update(file.relative_to(here).as_posix().encode() + b"\0" + file.read_bytes() + b"\0")
    libraries = (numpy.__version__, numba.__version__, shapely.__version__, shapely.geos_version_string)
    text.update("\0".join(libraries).encode())
    return text.hexdigest()
