"""Fitting tails and reserve to what a worked model really took.

Tails say how much thread a hand loses at every start; they are fitted first, so that the estimate
comes nearest to what was used: the sum over threads of (used - reckoned)^2 / used is least, since
what a length loses or gains by chance grows with the length. The reserve is then the largest
share by which any thread still took more than reckoned.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from ..compose.worked import WorkedChart
from ..core.ground import Fabric, Working
from ..core.key import Thread
from .thread import by_needle, reckon

LONGEST_SHARE = 0.25  # of a needleful that a tail may be: the reader lets no longer one through
LEAST_RESERVE = 0.05  # one model says little about the next hand
FEW = 3  # threads; of fewer the usual reserve is kept
SLIGHT = 0.25  # of a put-up; what takes less is bought whole anyway
_STEPS = (5.0, 1.0)  # mm, coarse and fine


@dataclass(frozen=True)
class Fit:
    """What was fitted.

    working: the chart's own with other tails and reserve. used: of put-ups, by thread. before,
    after: reckoned with the chart's own way of working and with the fitted one. too_little,
    too_much: whether less was used than without any tails, or more than with the longest.
    """

    working: Working
    used: Mapping[Thread, float]
    before: Mapping[Thread, float]
    after: Mapping[Thread, float]
    too_little: bool
    too_much: bool


def fit(worked: WorkedChart, fabric: Fabric, used: Mapping[Thread, float]) -> Fit:
    """Fit tails and reserve of a chart to the put-ups of some of its threads that were used."""
    stints = by_needle(worked, fabric)
    design = worked.design

    def reckoned(working: Working) -> dict[Thread, float]:
        uses = reckon(design, stints, working)
        return {use.thread: use.skeins for use in uses if use.thread in used}

    def off(tail: float) -> float:
        estimated = reckoned(replace(design.working, tail=tail))
        return math.fsum((used[each] - estimated[each]) ** 2 / used[each] for each in used)

    longest = math.floor(design.working.needleful * LONGEST_SHARE)
    tail, low, high = 0.0, 0.0, float(longest)
    for step in _STEPS:
        count = int((high - low) / step)
        tail = min((low + each * step for each in range(count + 1)), key=off)
        low, high = max(0.0, tail - step), min(float(longest), tail + step)
    before = reckoned(design.working)
    after = reckoned(replace(design.working, tail=tail))
    working = replace(design.working, tail=tail, reserve=_reserve(used, after))
    lack = math.fsum(used.values()) - math.fsum(after.values())
    return Fit(
        working, dict(used), before, after, tail == 0 and lack < 0, tail == longest and lack > 0
    )


def _reserve(used: Mapping[Thread, float], after: Mapping[Thread, float]) -> float:
    weighty = [each for each in used if after[each] >= SLIGHT] or list(used)
    excess = max(used[each] / after[each] - 1 for each in weighty)
    least = Working().reserve if len(used) < FEW else LEAST_RESERVE
    return max(least, math.ceil(excess * 100 - 1e-9) / 100)
