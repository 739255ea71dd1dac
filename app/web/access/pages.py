"""What the templates of this folder get."""

from collections.abc import Mapping
from dataclasses import dataclass

from flask import url_for

from app.domain.snapshot import TankSnapshot
from app.rules.model import Evaluation
from app.services.people import Visitor


@dataclass(frozen=True, slots=True)
class SignInPage:
    """How to come in: a link from the machine itself, or the passphrase."""

    has_passphrase: bool
    refused: str = ""


@dataclass(frozen=True, slots=True)
class TankRow:
    """One tank in the list: its state and the first thing to do."""

    name: str
    url: str
    state: str
    word: str
    line: str
    first: str


@dataclass(frozen=True, slots=True)
class TanksPage:
    """All tanks, the one that needs somebody first on top."""

    tanks: tuple[TankRow, ...]
    may_add: bool


@dataclass(frozen=True, slots=True)
class DevicePage:
    """What this browser is used for, and how to change that."""

    is_adult: bool
    name: str
    tiles: int
    has_passphrase: bool
    refused: str = ""


def device_page(
    visitor: Visitor, *, tiles: int, has_passphrase: bool, refused: str = ""
) -> DevicePage:
    """The page of this device."""
    return DevicePage(visitor.is_adult, visitor.name, tiles, has_passphrase, refused)


def tanks_page(
    found: Mapping[int, tuple[TankSnapshot, Evaluation]], *, is_adult: bool
) -> TanksPage:
    """The list of tanks from their evaluations, in the order of need."""
    rows = sorted(found.values(), key=lambda pair: _need(pair[1]))
    return TanksPage(tuple(_row(snapshot, seen) for snapshot, seen in rows), is_adult)


_ORDER = ("now", "act", "fog", "watch", "steady")


def _need(seen: Evaluation) -> int:
    return _ORDER.index(seen.state.value)


def _row(snapshot: TankSnapshot, seen: Evaluation) -> TankRow:
    return TankRow(
        name=snapshot.tank.name,
        url=url_for("today.today", tank_id=snapshot.tank.id),
        state=seen.state.value,
        word=seen.state.word,
        line=seen.state_line,
        first=seen.tasks[0].action.title if seen.tasks else "",
    )
