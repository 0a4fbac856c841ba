"""A mapping that holds its values compressed: thousands of drawings and outlines, each asked for now and then."""

import pickle
import zlib
from collections.abc import Iterable, Iterator, Mapping, MutableMapping
from typing import TypeVar

T = TypeVar("T")


class Packed(MutableMapping[str, T]):
    """Values by name, in the order in which they came; each is unpacked anew whenever it is asked for.

    Numbers and drawings take a fifth to a tenth of the memory. What is unpacked is a copy, so values are not to be
    changed in place.

    >>> drawings = Packed({"K_": "<svg/>" * 1000})
    >>> drawings["K_"] == "<svg/>" * 1000, len(drawings), "E_" in drawings
    (True, 1, False)
    """

    def __init__(self, values: Mapping[str, T] | Iterable[tuple[str, T]] = ()) -> None:
        self._packed: dict[str, bytes] = {}
        self.update(values)

    def __getitem__(self, name: str) -> T:
        return pickle.loads(zlib.decompress(self._packed[name]))  # type: ignore[no-any-return]

    def __setitem__(self, name: str, value: T) -> None:
        self._packed[name] = zlib.compress(pickle.dumps(value, pickle.HIGHEST_PROTOCOL), 1)

    def __delitem__(self, name: str) -> None:
        del self._packed[name]

    def __contains__(self, name: object) -> bool:
        return name in self._packed

    def __iter__(self) -> Iterator[str]:
        return iter(self._packed)

    def __len__(self) -> int:
        return len(self._packed)
