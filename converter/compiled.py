"""Plain loops over numbers, compiled once a machine by Numba and kept in the user's cache folder.

What is compiled is written so that it does the same uncompiled (set ``NUMBA_DISABLE_JIT=1``): whole numbers of 64 bits,
floats in a settled order, no sums that a compiler may reorder (``fastmath`` is off), no trigonometry where a tie could
break another way on another machine.
"""

from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar, cast

import numba
import numpy as np
import numpy.typing as npt
from numba.core import config
from platformdirs import user_cache_path

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

Function = TypeVar("Function", bound=Callable[..., Any])

# A whole number of 64 bits. A constant that is passed on as such keeps Numba from compiling a function once for numbers
# and again for this constant.
int64 = cast(Callable[[int], int], np.int64)

KERNELS = ("sewing", "straighten")  # the packages in which compiled functions stand


def compiled(function: Function) -> Function:
    """The function, compiled when it is first called."""
    return _compiled(function)


def inner(function: Function) -> Function:
    """The function, compiled, for compiled functions alone: without what Python needs to call it, which takes longer to
    compile than many a function itself. Called from Python it would crash; ``tests/core/test_compiled.py`` looks."""
    return _compiled(function, no_cpython_wrapper=True)


def _compiled(function: Function, **options: bool) -> Function:
    return cast(
        Function, numba.njit(cache=True, error_model="numpy", no_cfunc_wrapper=True, **options)(function)
    )


def _cache() -> Path:
    """A folder for what is compiled of just this source.

    Numba renews what it kept of a function where that function's own file changed, not where a function that it calls
    stands in another file that did; so a folder belongs to the text of all of them.
    """
    here = Path(__file__).parent
    text = sha256()
    for package in KERNELS:
        for file in sorted((here / package).rglob("*.py")):
            source = file.read_bytes()
            if b"from converter.compiled import" in source:
                text.update(source)
    return user_cache_path("font2foundation", appauthor=False) / "compiled" / text.hexdigest()[:16]


if not config.CACHE_DIR:  # one that the user set is kept
    config.CACHE_DIR = str(_cache())
