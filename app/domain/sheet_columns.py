"""What a column of a keeper's own table may hold, and what its heading makes likely."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from app.domain import logger_times
from app.domain.guard import number_from
from app.domain.logger_table import LONGEST_CELL, plain_heading, unit_in
from app.domain.quantities import CELSIUS, FACTS, FAHRENHEIT, Quantity, Unit


class Holds(StrEnum):
    """The kinds of columns."""

    DATE = "date"
    TIME = "time"
    QUANTITY = "quantity"
    CHANGED = "changed"
    FED = "fed"
    SEEN = "seen"
    NOTE = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """What a column holds; `key` names it in a form.

    `quantity` and `unit` are those of a measurement; `amount` is L, gal or % of changed water.
    """

    key: str
    label: str
    holds: Holds
    quantity: Quantity | None = None
    unit: Unit | None = None
    amount: str = ""

    @property
    def only_once(self) -> str:
        """What no two columns may hold both."""
        return self.quantity.value if self.quantity else self.holds.value


def _plain(holds: Holds, label: str, amount: str = "") -> Meaning:
    key = f"{holds.value}|{amount}" if amount else holds.value
    return Meaning(key=key, label=label, holds=holds, amount=amount)


def _measured(quantity: Quantity, unit: Unit) -> Meaning:
    said = f"{unit.symbol} {unit.basis}".strip()
    return Meaning(
        key=_key(quantity, unit),
        label=f"{FACTS[quantity].label}, {said}" if said else FACTS[quantity].label,
        holds=Holds.QUANTITY,
        quantity=quantity,
        unit=unit,
    )


def _key(quantity: Quantity, unit: Unit) -> str:
    return f"{quantity.value}|{unit.symbol}|{unit.basis}"


LEFT_OUT: Final = ""
"""The key of a column that is not read."""
MEANINGS: Final[dict[str, Meaning]] = {
    meaning.key: meaning
    for meaning in (
        _plain(Holds.DATE, "Date, or date and time"),
        _plain(Holds.TIME, "Time of day"),
        *(_measured(facts.quantity, unit) for facts in FACTS.values() for unit in facts.units),
        _plain(Holds.CHANGED, "Water changed, liters", "L"),
        _plain(Holds.CHANGED, "Water changed, US gallons", "gal"),
        _plain(Holds.CHANGED, "Water changed, % of the tank", "%"),
        _plain(Holds.FED, "Fed: scoops, or yes"),
        _plain(Holds.SEEN, "Animals counted"),
        _plain(Holds.NOTE, "Note"),
    )
}

# words of headings, in small letters; the first line that fits decides
_WORDS: Final[tuple[tuple[Holds | Quantity, frozenset[str]], ...]] = tuple(
    (meaning, frozenset(words.split()))
    for meaning, words in (
        (Holds.CHANGED, "change changed changes wc waterchange wasserwechsel"),
        (Holds.DATE, "date day datetime timestamp datum fecha data"),
        (Holds.TIME, "time clock hour uhrzeit zeit hora heure"),
        (Holds.NOTE, "note notes comment comments remark remarks observation observations notiz"),
        (Holds.FED, "fed feed feeding feedings food meal meals scoop scoops futter"),
        (Holds.SEEN, "count counted seen animals fish fishes"),
        (Quantity.TEMPERATURE, "temp temperature temperatur celsius fahrenheit °c °f"),
        (Quantity.PH, "ph"),
        (Quantity.AMMONIA, "ammonia ammonium nh3 nh4 tan"),
        (Quantity.NITRITE, "nitrite nitrit no2"),
        (Quantity.NITRATE, "nitrate nitrat no3"),
        (Quantity.KH, "kh dkh alkalinity carbonate alk"),
        (Quantity.GH, "gh dgh general hardness"),
        (Quantity.OXYGEN, "oxygen o2 do"),
        (Quantity.CHLORINE, "chlorine cl2"),
        (Quantity.CHLORIDE, "chloride"),
        (Quantity.WATER_LEVEL, "level"),
    )
)
# no tank for fish is so warm in °C: where a column goes beyond, it is in °F
_TOO_WARM_FOR_CELSIUS: Final = FACTS[Quantity.TEMPERATURE].impossible[1]


def _kind_of(heading: str) -> Holds | Quantity | None:
    words = _words(heading)
    return next((meaning for meaning, names in _WORDS if names & words), None)


def _words(heading: str) -> frozenset[str]:
    """The words of a heading, also as one where capitals or a slash part it: pH, W/C."""
    joined = heading.casefold().replace("/", "")
    return frozenset(f"{plain_heading(heading)} {plain_heading(joined)}".split())


def is_known(heading: str) -> bool:
    """Whether a cell reads like the heading of a column that can be brought in."""
    return _kind_of(heading) is not None


def guesses(
    headings: Sequence[str],
    samples: Sequence[Sequence[str]],
    *,
    fahrenheit: bool = False,
    gallons: bool = False,
) -> tuple[str, ...]:
    """The likely meaning of each column as its key, `LEFT_OUT` where nothing is likely.

    Args:
        headings: One a column.
        samples: The cells of some rows.
        fahrenheit: Whether these people read °F where a heading says nothing.
        gallons: The same for US gallons.
    """
    columns = [[row[at] for row in samples if at < len(row)] for at in range(len(headings))]
    found = [
        _guess(heading, cells, fahrenheit=fahrenheit, gallons=gallons)
        for heading, cells in zip(headings, columns, strict=True)
    ]
    if Holds.DATE not in found:
        for at, cells in enumerate(columns):
            if found[at] in {LEFT_OUT, Holds.TIME} and _are_dates(cells):
                found[at] = Holds.DATE.value
                break
    return tuple(_without_twins(found))


def _guess(heading: str, cells: Sequence[str], *, fahrenheit: bool, gallons: bool) -> str:
    kind = _kind_of(heading)
    if kind is None:
        return LEFT_OUT
    if kind is Holds.CHANGED:
        return f"{Holds.CHANGED}|{_amount_in(heading, cells, gallons=gallons)}"
    if isinstance(kind, Quantity):
        return _key(kind, _unit_of(kind, heading, cells, fahrenheit=fahrenheit))
    return kind.value


def _without_twins(found: Iterable[str]) -> Iterable[str]:
    """Only the first of several columns that would mean the same."""
    taken: set[str] = set()
    for key in found:
        name = MEANINGS[key].only_once if key else ""
        yield LEFT_OUT if name in taken else key
        taken |= {name} if name else set()


def _are_dates(cells: Sequence[str]) -> bool:
    filled = [cell for cell in cells if cell.strip()]
    return bool(filled) and all(logger_times.is_date(cell) for cell in filled)


def _amount_in(heading: str, cells: Sequence[str], *, gallons: bool) -> str:
    text = heading[:LONGEST_CELL].casefold()
    if "%" in text or "percent" in text or any(cell.strip().endswith("%") for cell in cells):
        return "%"
    if "gal" in text:
        return "gal"
    if "l" in _words(heading) or "liter" in text or "litre" in text:
        return "L"
    return "gal" if gallons else "L"


def _unit_of(quantity: Quantity, heading: str, cells: Sequence[str], *, fahrenheit: bool) -> Unit:
    if quantity is Quantity.TEMPERATURE:
        return _degrees(heading, cells, fahrenheit=fahrenheit)
    units, words = FACTS[quantity].units, _words(heading)
    return next((unit for unit in units[1:] if _says(words, unit)), units[0])


def _says(words: frozenset[str], unit: Unit) -> bool:
    """Whether a heading names this unit or basis, which is not the first of its quantity."""
    match unit.basis:
        case "as N":
            return "n" in words
        case "as ammonium":
            return bool(words & {"ammonium", "nh4"}) and not words & {"n", "nh3"}
        case "as CaCO3":
            return bool(words & {"ppm", "mg", "caco3", "alkalinity"})
        case _:
            return unit.symbol in words


def _degrees(heading: str, cells: Sequence[str], *, fahrenheit: bool) -> Unit:
    named = unit_in(heading)
    if named:
        return FAHRENHEIT if named == FAHRENHEIT.symbol else CELSIUS
    numbers = [n for n in map(number_from, cells) if n is not None]
    if numbers:
        return FAHRENHEIT if float(max(numbers)) > _TOO_WARM_FOR_CELSIUS else CELSIUS
    return FAHRENHEIT if fahrenheit else CELSIUS
