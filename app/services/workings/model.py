"""What a working-out page is made of: what it asks, what it answers, and how it is worked out."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge


class Theme(StrEnum):
    """Under which heading a page stands in the list; the value is the heading."""

    TANK = "The tank and its water"
    CHANGE = "New water"
    TESTS = "What a test says"
    WARMTH = "Warmth and air"
    FOOD = "Food and filter"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit that may be typed. `to_kept` turns a typed number into the kept unit.

    `key` stands in the address of a page, `symbol` on the page.
    """

    key: str
    symbol: str
    to_kept: Callable[[float], float]
    from_kept: Callable[[float], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """One number that a page asks for.

    `units` begins with the kept unit. `low` and `high` bound it in the kept unit. `known` gives
    what the record knows, in the kept unit; a measurement has none, so that nobody takes an old
    one for a new one. `several` takes several numbers with spaces between. With a `quantity`, an
    impossible number is answered with likely ones; `units` are then those of `units.of(quantity)`.
    A `clock` takes a time of day, such as 13:05 or 1:05 pm, as hours since midnight.
    """

    name: str
    label: str
    noun: str
    units: tuple[Unit, ...]
    low: float
    high: float
    required: bool = True
    hint: str = ""
    known: Callable[[TankSnapshot, Knowledge], float | None] | None = None
    several: bool = False
    quantity: Quantity | None = None
    clock: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Choose:
    """One of several answers; `known` gives the one that the record knows."""

    name: str
    label: str
    options: Mapping[str, str]
    default: str
    hint: str = ""
    known: Callable[[TankSnapshot, Knowledge], str | None] | None = None


@dataclass(frozen=True, slots=True)
class Sum:
    """One step of the working: what is worked out, the sum, its answer, what stands behind."""

    what: str
    text: str
    answer: str
    after: str = ""


@dataclass(frozen=True, slots=True)
class Given:
    """What was typed, in kept units; a number left empty is None."""

    numbers: Mapping[str, float | None]
    choices: Mapping[str, str]
    lists: Mapping[str, tuple[float, ...]] = field(default_factory=dict)

    def number(self, name: str) -> float:
        """A required number."""
        found = self.numbers[name]
        if found is None:
            raise KeyError(name)
        return found

    def maybe(self, name: str) -> float | None:
        """A number that may be left empty."""
        return self.numbers[name]


class CannotWork(ValueError):
    """These numbers have no answer; the sentence says why, and `name` which field it is about."""

    def __init__(self, sentence: str, name: str = "") -> None:
        super().__init__(sentence)
        self.name = name


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """The answer: one sentence, its range where inputs are uncertain, the working, its sources.

    `sources` are keys of `Knowledge.sources`; `basis` says what has no single source. `cautions`
    are keys of `Knowledge.cautions`. `door` is the page on which it is written down when it is a
    job (as `Action.door`), with `door_values` to fill in there. `warning` is what to know before
    the water is poured. `svg` is a drawing or "", `legend` its letters.
    """

    answer: str
    sums: tuple[Sum, ...]
    warning: str = ""
    spread: str = ""
    remarks: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    basis: str = ""
    cautions: tuple[str, ...] = ()
    door: str = ""
    door_values: Mapping[str, str] = field(default_factory=dict)
    svg: str = ""
    legend: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """One working-out page. `question` stands in the list of pages.

    `work` raises `CannotWork` where the numbers have no answer. `more` are further doors below
    the answer: words and endpoint of a page of the same tank. Pages `for_adults` have an address
    that only grown-ups may open.
    """

    slug: str
    theme: Theme
    title: str
    question: str
    asks: tuple[Ask | Choose, ...]
    work: Callable[[Given, TankSnapshot, Knowledge], Worked]
    more: tuple[tuple[str, str], ...] = ()
    for_adults: bool = False
