"""What the findings mean so far: the answer of a clock kept at hand, so that one more finding changes it at once.

The only state that lives between requests: for the few clocks last spoken of, the draws that carry their answer.
Nothing of it is in the record; a program started anew works it out again.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from underdial.bench.causes.teaching import learned_of, lesson_in_use, version_count_of
from underdial.bench.clock.case import case_from
from underdial.bench.shop import Shop, clock_page

if TYPE_CHECKING:
    from underdial.diagnosis.as_spoken import Kept

# Benches of one shop that speak at once.
MOST_CLOCKS = 6


@dataclass
class Speaking:
    """The kept draws by clock and version of the chances, the longest unspoken first; one answer at a time."""

    kept: OrderedDict[tuple[str, int], tuple[str, dict[str, Any], Kept]] = field(default_factory=OrderedDict)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def so_far(self, shop: Shop, clock: str) -> dict[str, Any]:
        """Causes and chances for the findings as they stand, roughly.

        The first time for a clock takes as long as new draws take; then a finding more is weighed on those kept.
        """
        from underdial.diagnosis import as_spoken
        from underdial.diagnosis.case_file import parse_case

        page, lesson = clock_page(shop, clock), lesson_in_use(shop)
        at, learned = (page.clock.id, version_count_of(lesson)), learned_of(lesson)
        case = parse_case(case_from(page))
        rng = np.random.default_rng(int(case.digest[:16], 16))
        with self.lock:
            known = self.kept.pop(at, None)
            if known is not None and known[0] == case.digest:
                answer, carried = known[1], known[2]
            elif known is None:
                answer, carried = as_spoken.begin(case, rng, learned=learned)
            else:
                answer, carried = as_spoken.with_finding(known[2], case, rng, learned=learned)
            self.kept[at] = (case.digest, answer, carried)
            while len(self.kept) > MOST_CLOCKS:
                self.kept.popitem(last=False)
        return {**answer, "chances_version_count": at[1]}
