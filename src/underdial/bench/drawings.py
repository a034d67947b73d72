"""Drawings of a computed part, by the ending of the file that is asked for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

Writers = Mapping[str, Callable[[Path], None]]


def runout_writers(result: Mapping[str, Any]) -> Writers:
    return {}


def bush_writers(result: Mapping[str, Any], given: Mapping[str, Any]) -> Writers:
    return {}


def spring_writers(result: Mapping[str, Any], given: Mapping[str, Any]) -> Writers:
    return {}


def pendulum_writers(result: Mapping[str, Any]) -> Writers:
    return {}


def teeth_writers(result: Mapping[str, Any]) -> Writers:
    return {}


def pallets_writers(result: Mapping[str, Any]) -> Writers:
    return {}
