"""How each part that letters have alike is to be drawn: as most letters have drawn it already.

Each letter proposes what it made of its parts by itself; of each part the treatment is taken that most letters like it
have, so that the fewest must change. Lengths in mm.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from converter.compiled import Floats, Integers, compiled, inner
from converter.polygons import rings_of
from converter.straighten.finish.verdict import Treatment, samples_of
from converter.straighten.together.like import BESIDE, LENGTH, MIRRORS, POINTS, STEP, Likeness, Windows

ALIKE = 0.015  # of size: like windows are drawn alike where figures stand off them nowhere more differently
AGREED = 0.02  # of size: windows side by side want the same where what they want is nowhere farther apart
ON_WINDOW = 0.015  # of size: a place as near to a window's points lies on it
DUST = 0.5  # mm²: what is smaller came of a crossing
MODEL_STEP = 0.012  # of size: between the corners of an outline that is put where its treatment is


@dataclass(frozen=True, slots=True)
class Leads:
    """For each window the one whose treatment it is to take (itself, where it stays as it is), and the row of
    ``MIRRORS`` that makes it that one."""

    windows: Windows
    leader: Integers
    mirror: Integers


def offsets(windows: Windows, figures: Sequence[BaseGeometry]) -> Floats:
    """How far outside (-) or inside (+) of its letter's figure each point of each window lies: (windows, POINTS)."""
    off = np.empty(windows.points.shape[:2])
    for letter, figure in enumerate(figures):
        mine = windows.letters == letter
        places = shapely.points(windows.points[mine] + windows.middles[mine][:, None])
        boundary = figure.boundary
        shapely.prepare([figure, boundary])
        off[mine] = np.where(shapely.contains(figure, places), 1, -1) * shapely.distance(places, boundary)
    return off


def choose(windows: Windows, likeness: Likeness, off: Floats, size: float) -> Leads:
    """For each window the treatment that most letters like it have; of those that have it, that of the letter which
    agrees with most others in all."""
    count = len(windows.letters)
    own = np.arange(count)
    votes = _votes(windows.letters, likeness, off, ALIKE * size)
    agreeing = np.bincount(windows.letters, weights=votes[likeness.starts[:-1] + own] - 1, minlength=1)
    leader, mirror = own.copy(), np.zeros(count, np.int64)
    for i in range(count):
        first, last = likeness.starts[i], likeness.starts[i + 1]
        members = [i, *likeness.others[first:last].tolist()]
        mirrors = [0, *likeness.mirrors[first:last].tolist()]
        rank = [
            (-votes[first + i + n], -agreeing[windows.letters[j]], j != i, j, m)
            for n, (j, m) in enumerate(zip(members, mirrors, strict=True))
        ]
        *_, leader[i], mirror[i] = min(rank)
    return Leads(windows, leader, mirror)


@compiled
def _votes(letters: Integers, likeness: Likeness, off: Floats, reach: float) -> Integers:
    """How many letters have the treatment of each window, and of each that is like it, there: for each window its own
    number, then those of its pairs; shape (windows + pairs,)."""
    count = len(letters)
    votes = np.zeros(count + len(likeness.others), np.int64)
    for i in range(count):
        first, number = likeness.starts[i], likeness.starts[i + 1] - likeness.starts[i] + 1
        members, back = np.empty(number, np.int64), np.zeros(number, np.int64)
        members[0] = i
        for n in range(1, number):
            members[n] = likeness.others[first + n - 1]
            mirror = likeness.mirrors[first + n - 1]
            back[n] = 1 if mirror == 1 or mirror == 2 else 0
        for n in range(number):
            voted, own = letters[i], _far(off, members[n], back[n], i, 0) <= reach
            total = 1 if own else 0
            for m in range(1, number):
                letter = letters[members[m]]
                if letter == voted and (own or letter != letters[i]):
                    continue  # a letter has one vote, however many of its windows are like this one
                if letter == letters[i] and own:
                    continue
                if _far(off, members[n], back[n], members[m], back[m]) <= reach:
                    total += 1
                    voted = letter
                    own = own or letter == letters[i]
            votes[first + i + n] = total
    return votes


@inner
def _far(off: Floats, i: int, i_back: int, j: int, j_back: int) -> float:
    """How differently, at most, two windows are drawn, each read backwards or not."""
    far = 0.0
    for k in range(POINTS):
        a = off[i, POINTS - 1 - k if i_back else k]
        b = off[j, POINTS - 1 - k if j_back else k]
        far = max(far, abs(a - b))
    return far


@compiled
def alike(likeness: Likeness, off: Floats, size: float) -> Integers:
    """1 for each pair of like windows that are drawn alike."""
    found = np.zeros(len(likeness.others), np.int64)
    for i in range(len(likeness.starts) - 1):
        for n in range(likeness.starts[i], likeness.starts[i + 1]):
            back = 1 if likeness.mirrors[n] == 1 or likeness.mirrors[n] == 2 else 0
            found[n] = 1 if _far(off, i, back, likeness.others[n], 0) <= ALIKE * size else 0
    return found


def share_kept(leads: Leads, letter: int, off: Floats, lead_off: Floats, size: float) -> float:
    """Of a letter's windows, the share that is drawn as its leader's; 1 where it has none."""
    mine = np.flatnonzero(leads.windows.letters == letter)
    there = lead_off[leads.leader[mine]]
    back = (MIRRORS[leads.mirror[mine]].prod(axis=1) < 0)[:, None]
    far = np.abs(off[mine] - np.where(back, there[:, ::-1], there)).max(axis=1, initial=0.0)
    return float((far <= ALIKE * size).mean()) if len(mine) else 1.0


def unity(windows: Windows, likeness: Likeness, off: Floats, size: float) -> Floats:
    """For each pair of letters which share of their like windows is drawn alike; 1 where none are like."""
    count = int(windows.letters.max(initial=-1)) + 1
    first = np.repeat(np.arange(len(windows.letters)), np.diff(likeness.starts))
    pair = windows.letters[first] * count + windows.letters[likeness.others]
    like = np.bincount(pair, minlength=count * count)
    same = np.bincount(pair, weights=alike(likeness, off, size), minlength=count * count)
    return np.where(like > 0, same / np.maximum(like, 1), 1.0).reshape(count, count)


def treatment_for(
    letter: int,
    outline: MultiPolygon,
    figures: Sequence[BaseGeometry],
    leads: Leads,
    size: float,
    agreed: bool = False,
) -> Treatment:
    """Where the edges of a letter's figure are to be, on all of its outline that other letters have, too.

    ``agreed``: only where windows side by side want the same; where one leader's part ends and another's begins, no
    straight edge may fit what both want.
    """

    def led(points: Floats) -> tuple[Integers, Floats]:
        return _led(points, letter, figures, leads, size, agreed)

    def put(ring: shapely.LinearRing) -> Floats:
        points = shapely.get_coordinates(shapely.segmentize(ring, MODEL_STEP * size))[:-1]
        which, there = led(points)
        points[which] = there
        return np.round(points, 6)

    which, there = led(samples_of(outline, size)[0])
    rings = [[put(ring) for ring in (part.exterior, *part.interiors)] for part in outline.geoms]
    model = _valid(MultiPolygon([Polygon(outer, counters) for outer, *counters in rings]))
    places = zip(which.tolist(), np.round(there, 6).tolist(), strict=True)
    return Treatment(tuple((k, x, y) for k, (x, y) in places), rings_of(model))


def _valid(shape: MultiPolygon) -> MultiPolygon:
    """The shape without what crosses itself where a treatment ends."""
    if shape.is_valid:
        return shape
    parts = shapely.get_parts(shapely.make_valid(shape))
    return MultiPolygon([part for part in parts if isinstance(part, Polygon) and part.area > DUST])


def _led(
    points: Floats, letter: int, figures: Sequence[BaseGeometry], leads: Leads, size: float, agreed: bool
) -> tuple[Integers, Floats]:
    """Which of a letter's points lie on a part that others have, and where (mm) its treatment has its edge there."""
    windows = leads.windows
    mine = np.flatnonzero(windows.letters == letter)
    if not len(mine):
        return np.empty(0, np.int64), np.empty((0, 2))
    apart = np.hypot(*(points[:, None] - windows.middles[mine][None]).transpose(2, 0, 1))
    nearest = mine[apart.argmin(axis=1)]
    round_it = windows.points[nearest] + windows.middles[nearest][:, None] - points[:, None]
    on_it = np.hypot(*round_it.transpose(2, 0, 1)).min(axis=1) <= ON_WINDOW * size
    which = np.flatnonzero(on_it & (apart.min(axis=1) <= LENGTH / 2 * size))
    nearest, points = nearest[which], points[which]
    there = _put(points, nearest, figures, leads)
    if not agreed:
        return which, there
    fine = np.ones(len(which), bool)
    for step in (-BESIDE, BESIDE):
        other = np.clip(nearest + step, mine[0], mine[-1])
        beside = np.hypot(*(windows.middles[other] - windows.middles[nearest]).T) < 1.5 * BESIDE * STEP * size
        beside &= windows.rings[other] == windows.rings[nearest]
        wanted = _put(points, np.where(beside, other, nearest), figures, leads)
        fine &= np.hypot(*(wanted - there).T) <= AGREED * size
    return which[fine], there[fine]


def _put(points: Floats, nearest: Integers, figures: Sequence[BaseGeometry], leads: Leads) -> Floats:
    """Where the leaders of windows, one for each point, want the edge at these points."""
    windows, leaders = leads.windows, leads.leader[nearest]
    mirrors = MIRRORS[leads.mirror[nearest]]
    middles, others = windows.middles[nearest], windows.middles[leaders]
    there = others + mirrors * (points - middles)
    for other in np.unique(windows.letters[leaders]).tolist():
        of_it = windows.letters[leaders] == other
        lines = shapely.shortest_line(shapely.points(there[of_it]), figures[other].boundary)
        there[of_it] = shapely.get_coordinates(shapely.get_point(lines, -1))
    return middles + mirrors * (there - others)
