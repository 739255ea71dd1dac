"""What the templates of this folder get."""

from collections.abc import Iterable
from dataclasses import dataclass

from flask import url_for

from app.services.board import Board, BoardLine
from app.services.people import Visitor
from app.services.tanks import TankLine


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
    """All tanks, the one that needs somebody first on top; closed ones as (name, address)."""

    tanks: tuple[TankRow, ...]
    may_add: bool
    closed: tuple[tuple[str, str], ...] = ()


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


def tanks_page(board: Board, closed: Iterable[TankLine], *, is_adult: bool) -> TanksPage:
    """The list of tanks, in the order of need; a helper reads the child's words.

    Closed tanks are for adults: their record is all there is of them.
    """
    return TanksPage(
        tanks=tuple(_row(line, is_adult=is_adult) for line in board.lines),
        may_add=is_adult,
        closed=tuple(
            (line.name, url_for("course.closing", tank_id=line.id)) for line in closed if is_adult
        ),
    )


def _row(line: BoardLine, *, is_adult: bool) -> TankRow:
    return TankRow(
        name=line.name,
        url=url_for("today.today", tank_id=line.tank_id),
        state=line.state.value,
        word=line.state.word,
        line=line.state_line if is_adult else line.child_line,
        first=line.first if is_adult else line.child_first,
    )
