"""What is carried from sentence to sentence: the parts, the wheel and the train spoken of last.

A part is written as a `Target`: component, whose it is, where on it.

Never here: noun phrases (`noun_phrases`); the state of a part.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace

from underdial.telling.names import places_of_parts

_STAYING = frozenset(("front", "back", "upper", "lower", "entry", "exit", "left", "right", "both"))


@dataclass(frozen=True)
class Target:
    """A part as written in a finding: component, whose it is, where on it.

    `aspect` marks endshake, swing and the like.
    """

    component: str
    of: str | None = None
    place: str | None = None
    aspect: str | None = None


@dataclass
class Focus:
    """What is carried on: the subjects of the last clause, the hosts and the train spoken of, the parts of late."""

    traits: frozenset[str] = frozenset()
    several_trains: bool = False
    subjects: tuple[Target, ...] = ()
    hosts: tuple[str, ...] = ()
    host_train: str | None = None
    train: str | None = None
    section: str | None = None
    said_now: str | None = None
    recent: list[str] = field(default_factory=list)
    generic: str | None = None
    counting: str = "uk"
    bushing_said: bool = False
    nearby: list[str] = field(default_factory=list)
    denied: str | None = None

    @contextmanager
    def as_it_was(self) -> Iterator[None]:
        """What is looked up within moves no "it": subjects, hosts, trains and parts of late stand behind as before."""
        held = self.subjects, self.hosts, self.host_train, list(self.recent), self.train
        yield
        self.subjects, self.hosts, self.host_train, self.recent, self.train = held

    def settle(self, targets: Sequence[Target], *, stated: bool = False) -> None:
        """Make these the subjects that a later "it" means; `stated` when something was said of them."""
        self.subjects = tuple(
            replace(t, place=None)
            if t.place is not None and not (t.component in places_of_parts.WITH_ENDS and t.place in _STAYING)
            else t
            for t in targets
        )
        for target in targets:
            self.remember(target, stated=stated)
        hosts = tuple(
            dict.fromkeys(
                without_train(t.of) if t.of and t.component in places_of_parts.HOSTS else t.component for t in targets
            )
        )
        kept = tuple(h for h in hosts if h not in ("going", "strike", "chime", "alarm"))
        if kept and not all(t.component in places_of_parts.HOSTS and t.of is None for t in targets):
            self.hosts = kept

    def remember(self, target: Target, *, stated: bool = False) -> None:
        """Note a part as spoken of last, and the train it implies."""
        part = target.component
        host = without_train(target.of)
        self.recent[:] = list(
            dict.fromkeys(
                [
                    part,
                    *([host] if host in places_of_parts.HOSTS["screw"] | places_of_parts.HOSTS["tooth"] else []),
                    *self.recent,
                ]
            )
        )[:6]
        if part in places_of_parts.STRIKE_ONLY and self.train not in ("strike", "chime"):
            if stated and self.several_trains:
                self.train = self.section = "strike"
        elif part in places_of_parts.CHIME_ONLY:
            if stated:
                self.train = self.section = "chime"
        elif places_of_parts.group_of(part) in places_of_parts.NO_TRAIN_GROUPS or part == "escape_wheel":
            self.train = self.section = None

    def train_of_wheel(self, wheel: str) -> str | None:
        """The train a wheel is of when none is named with it."""
        return (self.said_now or self.section) if wheel not in places_of_parts.ONE_OF_A_KIND else None

    def train_of_part(self, part: str, train: str | None, *, both: bool = False) -> str | None:
        """The train that is written with a part: the one named, else the one spoken of. `both` are of no train."""
        if both and train is None:
            return None
        if part in places_of_parts.POWER:
            said = train or self.train
            written = self.several_trains or train is not None or said in ("strike", "chime")
            return said if said is not None and written else None
        if part in places_of_parts.TRAIN_WORK and "chime" in self.traits:
            return train or (self.train if self.train in ("chime", "strike") else None)
        return None


def without_train(of: str | None) -> str:
    """ "great_wheel" of "strike.great_wheel"."""
    return (of or "").rsplit(".", 1)[-1]
