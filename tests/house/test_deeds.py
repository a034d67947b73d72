"""What the repairer can do by the bench can be done from a page or a command."""

from __future__ import annotations

from .conftest import PACKAGE, Tree
from .rules.deeds import doorless_deeds
from .rules.ratchet import beyond, listed


def test_every_deed_of_the_bench_has_a_door() -> None:
    known = listed("doorless")

    assert beyond(doorless_deeds(PACKAGE), known) == []
    assert all(reason.strip() for reason in known.values())


def test_a_deed_that_only_tests_could_call_is_seen(tree: Tree) -> None:
    package = tree(
        {
            "bench/clock.py": """
            from underdial.bench.help import told
            SUMS = {"turns": turns}
            def turns(): ...
            def receive(): return helped()
            def helped(): ...
            def release(): return handed()
            def handed(): ...
            def again(): return again()
            def _inside(): ...
            """,
            "bench/other.py": "def moved(): ...\ndef told(): ...\n",
            "web/routes.py": "from underdial.bench import clock\nfrom underdial.bench.other import "
            "moved\nclock.receive()\n",
            "cli/command.py": "moved()\n",
        }
    )

    assert doorless_deeds(package) == [
        "bench/clock.py: release has no door",
        "bench/clock.py: handed has no door",
        "bench/clock.py: again has no door",
        "bench/other.py: told has no door",
    ]
