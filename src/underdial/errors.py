"""Our exceptions: each takes the facts and makes one sentence a repairer can act on.

Never here: anything about screens, status codes or files being open. Only `web` and `cli` decide how a
sentence is shown.
"""

from __future__ import annotations


class UnderdialError(Exception):
    """A wish that cannot be met. `field`, `value` and `allowed` say which, what was given, what would do."""

    def __init__(self, field: str, value: object, allowed: str, message: str | None = None) -> None:
        self.field = field
        self.value = value
        self.allowed = allowed
        self.message = message or f"{field}: {value} will not do; allowed: {allowed}."
        super().__init__(self.message)


class OutOfRange(UnderdialError):
    """A number beyond the range in which a formula holds."""

    def __init__(self, field: str, value: float, low: float, high: float, unit: str = "") -> None:
        self.low, self.high = low, high
        tail = f" {unit}" if unit else ""
        allowed = f"{low:g} to {high:g}{tail}"
        super().__init__(
            field, value, allowed, f"{field}: {value:g}{tail} is outside the range in which this holds, {allowed}."
        )


class BadInput(UnderdialError):
    """Something given that cannot be read: a file, a word, a number without its unit."""


class NotFound(UnderdialError):
    """A clock, formula, family or paper of that name does not exist."""


class OutsideModel(UnderdialError):
    """A movement or oscillator that the sums do not cover (electric, unknown escapement)."""


class RuleBroken(UnderdialError):
    """A rule of the record that the change would break: a hold, a missing consent, an impossible order."""


class MachineRefused(UnderdialError):
    """The machine would not do it: disk full, no permission, port taken, program missing."""
