"""What an estimate is made of: what it rests on, how sure it is, and what would narrow it."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Final

NOT_MEASURED: Final = "estimate, not measured"
CLOCK: Final = "o’clock"
"""The unit of an input that is a time of the day, in hours since midnight."""

Triple = tuple[float, float, float]
"""Low, best, high."""


class Origin(StrEnum):
    """Where an input comes from; the value is said on the page."""

    MEASURED = "measured"
    WRITTEN = "written in the record"
    TYPED = "typed for this estimate"
    CATALOGUE = "from the catalogue"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """One number an estimate rests on, with the ends between which it lies.

    `name` is its key in code, `title` what a page calls it, `at` when it was measured or written.
    `source` is a key of `Knowledge.sources` or "". What is exact has three equal numbers.
    """

    name: str
    title: str
    low: float
    best: float
    high: float
    unit: str = ""
    decimals: int = 1
    origin: Origin
    at: datetime | None = None
    note: str = ""
    source: str = ""

    @property
    def is_exact(self) -> bool:
        """Whether nothing is uncertain about it."""
        return self.low == self.high


def exact(
    name: str, title: str, value: float, unit: str, *, origin: Origin, decimals: int = 1
) -> Input:
    """An input that is taken as it is, without ends."""
    return Input(
        name=name, title=title, low=value, best=value, high=value, unit=unit,
        decimals=decimals, origin=origin,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A number nobody measured: low, best and high in `unit`, and a sentence that says it.

    `missing` names what nobody wrote; with something essential missing there is no estimate but
    the sentence, and `known` is False. `narrows_most` is the title of the input that would narrow
    it most if it were known, or "".
    """

    what: str
    unit: str
    decimals: int
    sentence: str
    low: float = 0.0
    best: float = 0.0
    high: float = 0.0
    known: bool = True
    inputs: tuple[Input, ...] = ()
    missing: tuple[str, ...] = ()
    narrows_most: str = ""

    @property
    def width(self) -> float:
        """From the low to the high end."""
        return self.high - self.low


@dataclass(frozen=True, slots=True)
class Spread:
    """What comes out between the ends of all inputs, and what each input alone does to it.

    `by_input` is how much narrower the result gets, in its own unit, once that input is known.
    """

    low: float
    best: float
    high: float
    by_input: Mapping[str, float]

    @property
    def narrows_most(self) -> str:
        """The name of the input whose knowledge narrows the result most, or ""."""
        if not self.by_input:
            return ""
        name = max(self.by_input, key=lambda each: self.by_input[each])
        return name if self.by_input[name] > 0 else ""


Compute = Callable[[Mapping[str, float]], float]


def spread(compute: Compute, inputs: Sequence[Input]) -> Spread:
    """Carry the ends of the inputs through a sum that rises or falls with each of them.

    Each uncertain input is first moved alone, which tells its direction and how far it reaches;
    the distances are then added as those of independent errors are (root of the squares).

    Args:
        compute: From the inputs by name to one number.
        inputs: With their ends; exact ones are only passed on.

    Source:
        JCGM 100:2008 (GUM), 5.1.2, for independent inputs, taken to both sides separately.
    """
    at_best = {each.name: each.best for each in inputs}
    best = compute(at_best)
    below: dict[str, float] = {}
    above: dict[str, float] = {}
    for each in inputs:
        if each.is_exact:
            continue
        ends = [compute(at_best | {each.name: end}) for end in (each.low, each.high)]
        below[each.name] = max(best - min(ends), 0.0)
        above[each.name] = max(max(ends) - best, 0.0)
    down, up = _root(below.values()), _root(above.values())
    narrower = {
        name: down + up - _root_without(below, name) - _root_without(above, name) for name in below
    }
    return Spread(best - down, best, best + up, narrower)


def title_of(name: str, inputs: Sequence[Input]) -> str:
    """What a page calls an input, or "" of none."""
    return next((each.title for each in inputs if each.name == name), "")


def _root(distances: Iterable[float]) -> float:
    return float(sum(each**2 for each in distances) ** 0.5)


def _root_without(distances: Mapping[str, float], name: str) -> float:
    return _root(far for key, far in distances.items() if key != name)
