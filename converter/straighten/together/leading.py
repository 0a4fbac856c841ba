"""Letters that stand already lead those that join them."""

from collections.abc import Collection

import numpy as np

from converter.straighten.together.choosing import Leads
from converter.straighten.together.like import Likeness


def with_leading(leads: Leads, likeness: Likeness, leading: Collection[int]) -> Leads:
    """The leads with windows of ``leading`` letters (by number) before all others; those of these letters stay."""
    letters = leads.windows.letters
    leads_all = np.isin(letters, sorted(leading))
    leader, mirror = leads.leader.copy(), leads.mirror.copy()
    for i in range(len(letters)):
        if leads_all[i]:
            leader[i], mirror[i] = i, 0
        elif not leads_all[leader[i]]:
            first, last = likeness.starts[i], likeness.starts[i + 1]
            there = first + np.flatnonzero(leads_all[likeness.others[first:last]])
            if len(there):
                leader[i], mirror[i] = likeness.others[there[0]], likeness.mirrors[there[0]]
    return Leads(leads.windows, leader, mirror)
