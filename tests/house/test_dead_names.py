"""What nothing uses any more is taken out."""

from __future__ import annotations

from .conftest import PACKAGE, ROOT, Tree
from .rules.dead_names import dead_names


def test_every_name_at_the_head_of_a_module_is_used() -> None:
    beside = [
        path for folder in ("scripts", "benchmarks", "teaching", "tests") for path in (ROOT / folder).rglob("*.py")
    ]

    assert dead_names(sorted(PACKAGE.rglob("*.py")), [*beside, *PACKAGE.rglob("*.html"), ROOT / "dev.py"], ROOT) == []


def test_a_name_that_stands_only_where_it_is_made_is_seen(tree: Tree) -> None:
    package = tree({
        "movement/a.py": """
            LEAST = 1
            MOST = 2
            ALONE: int = 3
            FIRST, SECOND = range(2)
            def turned(count): return count + MOST
            def left_over(): ...
            @formula("turns")
            def turns(): ...
            class Barrel: ...
            """,
        "movement/b.py": "from a import turned\nturned(LEAST)\n",
        "page.html": "Barrel",
    })  # fmt: skip

    assert dead_names(sorted(package.rglob("*.py")), [package / "page.html"], package) == [
        "movement/a.py: ALONE is used nowhere", "movement/a.py: left_over is used nowhere",
    ]  # fmt: skip
