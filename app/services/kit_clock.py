"""A test session: each kit in use with its steps, and the clock time at which to go on.

Nothing of it is stored: the page carries which waits were begun, until one entry is saved.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final

from app.domain.kit import Kit
from app.domain.quantities import Quantity
from app.knowledge.load import load
from app.knowledge.model import KitKind, KitStep, KitWay

# a page that was left open longer begins anew (the project's own choice)
KEEPS: Final = timedelta(hours=12)
_BEGUN = re.compile(r"(\d{1,2})@(\d{10,11})", re.ASCII)
# from such a wait on the time is said in whole minutes, and never too early
_ROUNDED_FROM_S: Final = 120


@dataclass(frozen=True, slots=True)
class Begun:
    """At which step (from 0) somebody began to wait, and when."""

    step: int
    at: datetime

    def __str__(self) -> str:
        """As a page carries it."""
        return f"{self.step}@{self.at.timestamp():.0f}"


@dataclass(frozen=True, slots=True)
class TimedStep:
    """A step; `go_on` is when its wait ends, None while nobody began one.

    `done`: it lies behind. `runs`: its wait was begun, and those of later steps reckoned from it.
    """

    text: str
    wait_s: float
    go_on: datetime | None = None
    done: bool = False
    runs: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class KitCard:
    """One kind of kit with all that is read with it; `kits` is empty where none is written.

    `kind` is None where no steps are known: then the sheet in the box tells them.
    """

    key: str
    quantities: tuple[Quantity, ...]
    kits: tuple[Kit, ...]
    kind: KitKind | None
    steps: tuple[TimedStep, ...] = ()

    def next(self, now: datetime) -> tuple[datetime, str] | None:
        """When the wait ends that runs, or ended last, and what to do then; None before."""
        ends = [
            (step.go_on, after.text)
            for step, after in zip(self.steps, self.steps[1:], strict=False)
            if step.go_on is not None
        ]
        ahead = [end for end in ends if end[0] > now]
        return ahead[0] if ahead else (ends[-1] if ends else None)


@dataclass(frozen=True, slots=True)
class Due:
    """A kit on the clock: when to go on, with which card, and what to do."""

    at: datetime
    card: KitCard
    text: str


def begun_from(text: str, now: datetime) -> Begun | None:
    """What a page carries, or None where it is nothing, too old or ahead of the clock."""
    found = _BEGUN.fullmatch(text)
    if found is None:
        return None
    at = datetime.fromtimestamp(int(found[2]), UTC)
    return Begun(int(found[1]), at) if now - KEEPS <= at <= now else None


def way_of(kit: Kit | None) -> KitWay:
    """How a kit is read; only its name tells a strip from a card."""
    if kit is None or not kit.steps:
        return KitWay.NUMBER
    return KitWay.STRIP if "strip" in kit.name.casefold() else KitWay.CARD


def cards(used: Mapping[Quantity, Kit | None], begun: Mapping[str, Begun]) -> tuple[KitCard, ...]:
    """The cards of a session, a strip with several pads as one.

    Args:
        used: By which kit each quantity is read, in the order to show; None: no kit is written.
        begun: By the key of a card, the wait that was begun.
    """
    kinds = load().kits.values()
    grouped: dict[str, tuple[KitKind | None, list[Quantity]]] = {}
    for quantity, kit in used.items():
        fitting = (k for k in kinds if quantity in k.reads and k.way is way_of(kit))
        kind = next(fitting, None)
        key = kind.key if kind else quantity.value
        grouped.setdefault(key, (kind, []))[1].append(quantity)
    return tuple(
        KitCard(
            key=key,
            quantities=tuple(quantities),
            kits=tuple(kit for q in quantities if (kit := used[q]) is not None),
            kind=kind,
            steps=_timed(kind.steps, begun.get(key)) if kind else (),
        )
        for key, (kind, quantities) in grouped.items()
    )


def _timed(steps: Iterable[KitStep], begun: Begun | None) -> tuple[TimedStep, ...]:
    timed, passed = [], 0.0
    for at, step in enumerate(steps):
        if begun is None or at < begun.step:
            timed.append(TimedStep(step.text, step.wait_s, done=begun is not None))
            continue
        passed += step.wait_s
        end = _rounded(begun.at + timedelta(seconds=passed), step.wait_s)
        timed.append(
            TimedStep(step.text, step.wait_s, end if step.wait_s else None, runs=at == begun.step)
        )
    return tuple(timed)


def _rounded(moment: datetime, wait_s: float) -> datetime:
    """The full minute from which on a long wait is over: a color read too early is too light."""
    if wait_s < _ROUNDED_FROM_S:
        return moment
    full = moment.replace(second=0, microsecond=0)
    return full if full == moment else full + timedelta(minutes=1)


def on_the_clock(
    shown: Iterable[KitCard], read: frozenset[Quantity], now: datetime
) -> tuple[Due, ...]:
    """The kits that somebody began and did not read yet, the next one first."""
    running = []
    for card in shown:
        due = card.next(now)
        if due is not None and not read.issuperset(card.quantities):
            running.append(Due(due[0], card, due[1]))
    return tuple(sorted(running, key=lambda each: each.at))
