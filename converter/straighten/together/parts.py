"""The parts that letters of a run share, each with the treatments that its letters have found for it."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from converter.compiled import Floats
from converter.straighten.together.choosing import ALIKE, Leads
from converter.straighten.together.like import MIRRORS, POINTS, Likeness, Windows

MOST_PARTS = 12  # of a run; what still fewer letters share is not worth a name
MOSTLY = 0.5  # of a stretch: a letter that has as much of it shares it
ALIKE_ALONG = 0.8  # of a part's windows are drawn alike in two letters that have the same treatment
TURNED_BACK = MIRRORS.prod(axis=1) < 0


Member = tuple[tuple[int, int] | None, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch of outline that letters share.

    ``windows``: of the letter that stands for it. ``members``: for each letter, for each of these windows, the like
    window and the row of ``MIRRORS`` that makes the first one it; None where the letter has none like it.
    ``treatments``: the letters by how they drew it alone, most letters first.
    """

    name: str
    windows: tuple[int, ...]
    members: Mapping[int, Member]
    treatments: tuple[tuple[int, ...], ...]


def find_parts(windows: Windows, likeness: Likeness, off: Floats, size: float) -> list[Part]:
    """The parts of which letters share most, first; numbered apart on outer outlines and on those of counters."""
    runs = _runs(windows)
    shared = [_shared(windows, likeness, run) for run in runs]
    free = np.ones(len(windows.letters), bool)
    numbers: Counter[str] = Counter()
    found: list[Part] = []
    while len(found) < MOST_PARTS:
        best, most = -1, 0
        for r, (run, members) in enumerate(zip(runs, shared, strict=True)):
            if free[run].mean() < MOSTLY:
                continue
            common = sum(
                sum(1 for place in member if place and free[place[0]]) for member in members.values()
            )
            if len(members) > 1 and common > most:
                best, most = r, common
        if best < 0:
            break
        members = shared[best]
        for member in members.values():
            free[[place[0] for place in member if place]] = False
        kind = "counter" if windows.counters[runs[best][0]] else "curve"
        numbers[kind] += 1
        name = f"{kind}-{numbers[kind]}"
        found.append(Part(name, tuple(runs[best]), members, _treatments(members, sorted(members), off, size)))
    return found


def with_chosen(leads: Leads, parts: Sequence[Part], chosen: Mapping[str, int]) -> Leads:
    """The leads with the treatments that a designer chose for parts, by their names; numbers begin with 1, and one that
    is too high means the last."""
    leader, mirror = leads.leader.copy(), leads.mirror.copy()
    for part in parts:
        if part.name not in chosen:
            continue
        first = part.treatments[min(chosen[part.name], len(part.treatments)) - 1][0]
        for member in part.members.values():
            for place, model in zip(member, part.members[first], strict=True):
                if place and model:
                    leader[place[0]] = model[0]
                    mirror[place[0]] = _between(place[1], model[1])
    return Leads(leads.windows, leader, mirror)


def has_treatment(part: Part, letter: int, off: Floats, model: int, model_off: Floats, size: float) -> bool:
    """Whether a letter has a part drawn as another one has, each with the offsets of its windows."""
    return _share_alike(part.members[letter], part.members[model], off, model_off, size) >= ALIKE_ALONG


def _runs(windows: Windows) -> list[list[int]]:
    """All windows, those side by side on one ring together."""
    runs: list[list[int]] = []
    for i in range(len(windows.letters)):
        if runs and _is_beside(windows, i, runs[-1][-1]):
            runs[-1].append(i)
        else:
            runs.append([i])
    return runs


def _shared(windows: Windows, likeness: Likeness, run: Sequence[int]) -> dict[int, Member]:
    """The letters that have most of a run, its own letter first."""
    own = int(windows.letters[run[0]])
    there = {
        int(windows.letters[other])
        for i in run
        for other in likeness.others[likeness.starts[i] : likeness.starts[i + 1]]
    }
    members = {letter: _member(windows, likeness, run, letter) for letter in (own, *sorted(there - {own}))}
    return {letter: one for letter, one in members.items() if sum(map(bool, one)) >= MOSTLY * len(run)}


def _is_beside(windows: Windows, i: int, j: int) -> bool:
    if windows.letters[i] != windows.letters[j] or windows.rings[i] != windows.rings[j]:
        return False
    apart = float(np.hypot(*(windows.middles[i] - windows.middles[j])))
    between_points = float(np.hypot(*windows.points[i, POINTS // 2 + 1]))
    return apart <= 1.5 * between_points


def _member(windows: Windows, likeness: Likeness, stretch: Sequence[int], letter: int) -> Member:
    """A letter's windows like those of a stretch, by the mirroring under which most of them are."""
    options: list[dict[int, int]] = [{} for _ in MIRRORS]
    for n, i in enumerate(stretch):
        if windows.letters[i] == letter:
            options[0].setdefault(n, i)
        for p in range(likeness.starts[i], likeness.starts[i + 1]):
            if windows.letters[likeness.others[p]] == letter:
                options[likeness.mirrors[p]].setdefault(n, int(likeness.others[p]))
    best = max(range(len(MIRRORS)), key=lambda m: (len(options[m]), -m))
    return tuple((options[best][n], best) if n in options[best] else None for n in range(len(stretch)))


def _treatments(
    members: Mapping[int, Member], letters: Sequence[int], off: Floats, size: float
) -> tuple[tuple[int, ...], ...]:
    groups: list[list[int]] = []
    for letter in letters:
        for group in groups:
            if _share_alike(members[letter], members[group[0]], off, off, size) >= ALIKE_ALONG:
                group.append(letter)
                break
        else:
            groups.append([letter])
    return tuple(tuple(group) for group in sorted(groups, key=lambda group: (-len(group), group)))


def _share_alike(
    one: Member, other: Member, off: Floats, other_off: Floats,
    size: float,
) -> float:  # fmt: skip
    """Of the windows that two letters share with a part, the share that they have drawn alike."""
    both = [(p, q) for p, q in zip(one, other, strict=True) if p and q]
    if not both:
        return 0.0
    a, b = (off[[p[0] for p, _ in both]], other_off[[q[0] for _, q in both]])
    a = np.where(TURNED_BACK[[p[1] for p, _ in both]][:, None], a[:, ::-1], a)
    b = np.where(TURNED_BACK[[q[1] for _, q in both]][:, None], b[:, ::-1], b)
    return float((np.abs(a - b).max(axis=1) <= ALIKE * size).mean())


def _between(one: int, other: int) -> int:
    """The mirroring from what the one makes of a thing to what the other makes of it."""
    both = MIRRORS[one] * MIRRORS[other]
    return int((both == MIRRORS).all(axis=1).argmax())
