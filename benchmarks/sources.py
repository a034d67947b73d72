"""Published rows by group: how many there are, and how many our functions give. Exit 1 when any fails.

Run by `python3 dev.py sources`; `--json` prints one object.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.published.plausible import CHECKS
from tests.published.rows import outcome, rows


def main(argv: list[str]) -> int:
    """Print the table; every row that fails is named below it."""
    equalities = [outcome(row) for row in rows("test")]
    ranges = [(row["group"], row["topic"], row["id"], CHECKS[row["id"]](row)) for row in rows("plausibility")]
    topics = {one.group: one.topic for one in equalities} | {group: topic for group, topic, _, _ in ranges}
    all_, passed = Counter(one.group for one in equalities), Counter(one.group for one in equalities if one.passed)
    kept, spans = Counter(group for group, _, _, good in ranges if good), Counter(group for group, *_ in ranges)
    failed = [one.id for one in equalities if not one.passed] + [name for _, _, name, good in ranges if not good]
    table = [
        {
            "group": group,
            "topic": topics[group],
            "rows_count": all_[group],
            "passed_count": passed[group],
            "ranges_count": spans[group],
            "ranges_kept_count": kept[group],
        }
        for group in sorted(topics)
    ]
    if "--json" in argv:
        print(json.dumps({"groups": table, "failed": failed}))
    else:
        print(f"{'group':<24}{'rows':>6}{'passed':>8}{'ranges':>8}{'kept':>6}")
        for one in table:
            print(
                f"{one['group']:>2} "
                f"{one['topic']:<21}{one['rows_count']:>6}{one['passed_count']:>8}{one['ranges_count']:>8}{one['ranges_kept_count']:>6}"
            )
        print(
            f"{'all':<24}{sum(all_.values()):>6}{sum(passed.values()):>8}{sum(spans.values()):>8}{sum(kept.values()):>6}"
        )
        for name in failed:
            print(f"failed: {name}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
