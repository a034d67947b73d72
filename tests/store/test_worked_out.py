"""Answers that are kept: whole or not at all, however many write the same one at once."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from underdial.store.worked_out import keep_answer, read_answer

BIG = {"causes": list(range(20_000))}


def test_an_answer_that_many_keep_at_once_is_always_whole(tmp_path: Path) -> None:
    keep_answer(tmp_path, "question", BIG)

    def keep_and_read(_: int) -> list[bool]:
        whole = []
        for _ in range(40):
            keep_answer(tmp_path, "question", BIG)
            whole.append(read_answer(tmp_path, "question") == BIG)
        return whole

    with ThreadPoolExecutor(3) as benches:
        whole = [one for many in benches.map(keep_and_read, range(3)) for one in many]

    assert all(whole)
    assert [one.name for one in (tmp_path / "worked_out").iterdir()] == ["question.json"]


def test_an_answer_that_cannot_be_written_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="JSON"):
        keep_answer(tmp_path, "question", {"chance": float("nan")})

    assert read_answer(tmp_path, "question") is None
    assert list(tmp_path.rglob("*.part")) == []
