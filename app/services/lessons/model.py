"""What a sheet for pupils is made of, and its answers, which are printed apart."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from sqlalchemy.orm import Session

from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge
from app.services.workings.model import Sum


class Level(StrEnum):
    """How hard a question is; the value is its heading."""

    EASY = "Easy"
    MIDDLE = "Middle"
    HARD = "Hard"


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question, its answer, and the sums that lead to it with the numbers put in.

    `values` are the numbers of the answer, unrounded, in the unit of the question.
    """

    level: Level
    text: str
    answer: str
    sums: tuple[Sum, ...] = ()
    values: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table of words; `numbers` are the columns, from 0, that hold numbers.

    `struck` are the rows, from 0, that no sum takes; `note` stands below.
    """

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()
    struck: frozenset[int] = frozenset()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Lacking:
    """What the record does not know yet, and the page on which five minutes fill it."""

    words: str
    label: str
    endpoint: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """What this tank's record gives to a lesson.

    `facts` (what, how much), `tables` and the drawing `svg` are for pupils. `surprise`, the
    answers, `told` and `told_svg` are for the answer page only. A drawing is "" where there is
    none. `basis` says where estimates come from.
    """

    facts: tuple[tuple[str, str], ...] = ()
    tables: tuple[Table, ...] = ()
    svg: str = ""
    questions: tuple[Question, ...] = ()
    surprise: str = ""
    told: tuple[Table, ...] = ()
    told_svg: str = ""
    lacking: tuple[Lacking, ...] = ()
    basis: str = ""


Fill = Callable[[Session, TankSnapshot, Knowledge], Filled]


@dataclass(frozen=True, slots=True)
class Guided:
    """A guided lesson: its key in the knowledge, what fills it, and where to write down after it.

    `doors` are (words, endpoint) of pages of the same tank.
    """

    key: str
    fill: Fill
    doors: tuple[tuple[str, str], ...]


ESTIMATE: Final = "Estimate, not measured."
