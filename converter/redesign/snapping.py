"""Ends drawn by hand, moved to where they were meant to be.

A line keeps its direction; an end slides along its own line to what it was meant to meet. So corners lie on their
lines exactly, and pieces tile the block exactly.
"""

import math
from collections.abc import Sequence

from converter.geometry import line_through, meet
from converter.measures import Units, measured_text, place_text
from converter.model import Finding, Point
from converter.redesign.edited import Stroke
from converter.redesign.strokes import distance_to, foot, name_of
from converter.redesign.tolerances import Tolerances

_ROUNDS = 6  # of settling ends that depend on each other; each makes what is left smaller by far
_End = tuple[int, int]  # the stroke's number, and 0 for its start or 1 for its end
_SLIDE = 4.0  # times the snapping tolerance that an end may slide along its line, where lines meet at a slant


def snapped(
    strokes: Sequence[Stroke], edge: Sequence[Stroke], tolerances: Tolerances, units: Units
) -> tuple[list[Stroke], list[Finding]]:
    """The strokes with every end on the line, the edge or the corner that it was meant for; and ends in the open.

    A stroke of which nothing is left then, such as a tick across a seam, was a slip of the hand and is left out.
    """
    strokes = list(strokes)
    while True:
        snapping = _Snapping(strokes, edge, tolerances, units)
        faults = snapping.find_hosts()
        if faults:
            return strokes, faults
        slips: set[int] = set()
        for _ in range(_ROUNDS):
            snapping.settle()
            slips = snapping.slips()
            if slips:
                break
        if not slips:
            return snapping.strokes, []
        strokes = [stroke for k, stroke in enumerate(strokes) if k not in slips]


class _Snapping:
    def __init__(
        self, strokes: Sequence[Stroke], edge: Sequence[Stroke], tolerances: Tolerances, units: Units
    ) -> None:
        self._t = tolerances
        self._units = units
        self._edge = edge
        self.strokes = list(strokes)
        self._lines = [line_through(s.start, s.end) for s in strokes]  # as they were drawn
        self._hosts: dict[_End, int] = {}  # the line that an end lies on; the block's edge is -4 to -1
        self._same_as: dict[_End, _End] = {}  # ends that go where another goes

    def find_hosts(self) -> list[Finding]:
        """Finds for each end what it was meant to meet; returns those in the open."""
        ends = self._ends()
        loose = []
        for (k, which), end in ends.items():
            host, touches = self._host(k, end)
            if host is not None:
                self._hosts[k, which] = host
            if not touches:
                loose.append((k, which))
        faults = []
        for key in loose:
            # A corner that is near is what was meant, before the line that leads to it.
            corners = [o for o in self._near_ends(key, ends) if o in self._hosts and o not in loose]
            if corners and self._hosts[corners[0]] != key[0]:
                self._same_as[key] = corners[0]
            elif key not in self._hosts and not self._near_ends(key, ends):
                faults.append(self._open_end(key[0], ends[key]))
        return faults

    def _ends(self) -> dict[_End, Point]:
        return {(k, w): p for k, s in enumerate(self.strokes) for w, p in enumerate((s.start, s.end))}

    def _near_ends(self, key: _End, ends: dict[_End, Point]) -> list[_End]:
        """Other strokes' ends within the snapping tolerance of an end, the nearest first."""
        near = [(math.dist(p, ends[key]), other) for other, p in ends.items() if other[0] != key[0]]
        return [other for distance, other in sorted(near) if distance <= self._t.snap]

    def _stroke(self, number: int) -> Stroke:
        return self.strokes[number] if number >= 0 else self._edge[number + 4]

    def _host(self, k: int, end: Point) -> tuple[int | None, bool]:
        """The line that the end lies on, or else the nearest that it can slide to; and whether it touches it."""
        line = self._lines[k]
        best: tuple[bool, float, int] | None = None
        touches = False
        for number in [*range(-4, 0), *range(len(self.strokes))]:
            if number == k:
                continue
            other = self._stroke(number)
            distance = distance_to(end, other)
            if distance > self._t.snap:
                continue
            touches = touches or distance <= self._t.same
            place = meet(line, self._lines[number] if number >= 0 else line_through(other.start, other.end))
            if place is None:
                continue
            slide = math.dist(end, place)
            ends_there = min(math.dist(place, other.start), math.dist(place, other.end)) <= self._t.same
            runs_through = distance_to(place, other) <= self._t.same and (number < 0 or not ends_there)
            if not runs_through or slide > _SLIDE * self._t.snap:
                continue
            rank = (distance > self._t.same, slide, number)
            if best is None or rank < best:
                best = rank
        return (None if best is None else best[2]), touches

    def settle(self) -> None:
        """Moves every end to where it belongs, as the lines are now."""
        ends = self._ends()
        moved = {}
        for key, end in ends.items():
            host = self._hosts.get(key)
            if host is None:
                near = [end, *(ends[o] for o in self._near_ends(key, ends) if o not in self._hosts)]
                moved[key] = (sum(p[0] for p in near) / len(near), sum(p[1] for p in near) / len(near))
                continue
            own, other = self.strokes[key[0]], self._stroke(host)
            place = meet(line_through(own.start, own.end), line_through(other.start, other.end))
            moved[key] = place or end
        moved = self._gathered(moved)
        for key, other_key in self._same_as.items():
            moved[key] = moved[other_key]
        self.strokes = [Stroke(moved[k, 0], moved[k, 1], s.id) for k, s in enumerate(self.strokes)]

    def slips(self) -> set[int]:
        """The strokes that are as good as nothing where they are now."""
        return {k for k, s in enumerate(self.strokes) if math.dist(s.start, s.end) <= self._t.shortest}

    def _gathered(self, ends: dict[_End, Point]) -> dict[_End, Point]:
        """Ends on one line that are the same place up to rounding become the same point."""
        result = dict(ends)
        by_host: dict[int, list[_End]] = {}
        for key, host in self._hosts.items():
            by_host.setdefault(host, []).append(key)
        for host, keys in by_host.items():
            line = line_through(self._stroke(host).start, self._stroke(host).end)
            keys.sort(key=lambda key: (line.nx * ends[key][1] - line.ny * ends[key][0], key))
            groups: list[list[_End]] = []
            for key in keys:
                if groups and math.dist(ends[groups[-1][-1]], ends[key]) <= self._t.same:
                    groups[-1].append(key)
                else:
                    groups.append([key])
            for group in groups:
                x = sum(ends[g][0] for g in group) / len(group)
                y = sum(ends[g][1] for g in group) / len(group)
                result |= dict.fromkeys(group, foot(line, (x, y)))
        return result

    def _open_end(self, k: int, end: Point) -> Finding:
        others = [
            (distance_to(end, self._stroke(n)), n)
            for n in [*range(-4, 0), *range(len(self.strokes))]
            if n != k
        ]
        distance, number = min(others)
        units = self._units
        what = "the block's edge" if number < 0 else name_of(self._stroke(number), units)
        return Finding(
            "seam-open-end", "redesign",
            f"{name_of(self.strokes[k], units, True)} ends inside a piece at {place_text(*end, units)}, "
            f"{measured_text(distance, units)} from {what}.",
            distance, self._t.snap, end, None,
            "Move the end onto a seam or the block's edge, or remove the seam.",
        )  # fmt: skip
