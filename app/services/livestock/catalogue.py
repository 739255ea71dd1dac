"""The lists of animals, plants and kits, as the pages ask for them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, TypeVar

from app.domain.errors import NotFound
from app.knowledge.catalogue import Plant, Species
from app.knowledge.load import load
from app.knowledge.model import KitKind, OutsideCheck, Source
from app.knowledge.search import best_first
from app.rules.needs import value_words

Record = TypeVar("Record", Species, Plant)

# where the lists come from for the most part; each value says it of itself
_LIST_SOURCES: Final = ("fishbase-2024", "fishbase-2013", "froese-2014")
_ANIMAL_FIELDS: Final = (
    ("common_name", "Common name", ""),
    ("scientific_name", "Scientific name", ""),
    ("also_known_as", "Other and former names", ""),
    ("group", "What it is", ""),
    ("family", "Family", ""),
    ("origin", "Home", ""),
    ("temp_c", "Temperature", "°C"),
    ("ph", "pH", ""),
    ("gh", "General hardness (GH)", "°dGH"),
    ("adult_tl_cm", "Grown in a tank, with its tail", "cm"),
    ("max_length_cm", "Longest ever measured", "cm"),
    ("min_group", "Smallest group", ""),
    ("position", "Height", ""),
    ("temperament", "Temperament", ""),
    ("min_tank_liters", "Smallest tank", "L"),
    ("diet", "Food", ""),
    ("cautions", "What to know", ""),
    ("length_weight_a", "Weight from length: factor", ""),
    ("length_weight_b", "Weight from length: exponent", ""),
    ("db_temp_c", "Temperature as a source has it", "°C"),
    ("db_ph", "pH as the database has it", ""),
    ("db_gh", "GH as the database has it", "°dGH"),
)
_PLANT_FIELDS: Final = (
    ("common_name", "Common name", ""),
    ("scientific_name", "Scientific name", ""),
    ("also_known_as", "Other and former names", ""),
    ("growth_form", "How it grows", ""),
    ("placement", "Place", ""),
    ("light_need", "Light", ""),
    ("temp_c", "Temperature", "°C"),
    ("growth_rate", "How fast it grows", ""),
    ("notes", "What to know", ""),
    ("regulated", "Forbidden or limited somewhere", ""),
)
_LENGTHS: Final = {"SL": ", without its tail", "TL": ", with its tail", "SH": ", its shell"}


@dataclass(frozen=True, slots=True)
class Fact:
    """One value of an animal or plant in words, and where it comes from."""

    label: str
    value: str
    said: str
    is_memory: bool


def animals(text: str = "") -> tuple[Species, ...]:
    """The animals that fit a text, best first; all in the order of the list without one."""
    return _fitting(load().species, text)


def plants(text: str = "") -> tuple[Plant, ...]:
    """The plants that fit a text, best first; all in the order of the list without one."""
    return _fitting(load().plants, text)


def animal(slug: str) -> Species:
    """The animal with this address.

    Raises:
        NotFound: If the list has none.
    """
    return _with_address(load().species, slug)


def plant(slug: str) -> Plant:
    """The plant with this address.

    Raises:
        NotFound: If the list has none.
    """
    return _with_address(load().plants, slug)


def plant_named(scientific_name: str) -> Plant | None:
    """The plant with this scientific name, or None."""
    return load().plants.get(scientific_name)


def facts_of(record: Species | Plant) -> tuple[Fact, ...]:
    """Every value that the list holds, known or not, each with where it comes from."""
    fields = _ANIMAL_FIELDS if isinstance(record, Species) else _PLANT_FIELDS
    return tuple(_fact(record, *field) for field in fields)


def kits() -> tuple[KitKind, ...]:
    """The kinds of test kits, in the order of the file."""
    return tuple(load().kits.values())


def checks() -> tuple[OutsideCheck, ...]:
    """What was held against something outside the project, in the order of the file."""
    return load().checks


def sources() -> tuple[Source, ...]:
    """Every publication that a number, a caution or a list comes from."""
    return tuple(load().sources.values())


def list_sources() -> tuple[Source, ...]:
    """The publications that most values of the animals come from."""
    return tuple(load().sources[key] for key in _LIST_SOURCES)


def _fitting(known: Mapping[str, Record], text: str) -> tuple[Record, ...]:
    return best_first(known.values(), text) if text.strip() else tuple(known.values())


def _with_address(known: Mapping[str, Record], slug: str) -> Record:
    for record in known.values():
        if record.slug == slug:
            return record
    raise NotFound("The list has nothing of that name.")


def _fact(record: Species | Plant, field: str, label: str, unit: str) -> Fact:
    value = getattr(record, field)
    if value in (None, "", (), frozenset(), (None, None)):
        return Fact(label, "–", "not known", is_memory=False)
    if isinstance(value, tuple) and None in value:
        low, high = value
        said = value_words(low if high is None else high, unit)
        text = f"from {said}" if high is None else f"up to {said}"
    else:
        text = value_words(value, unit)
    if isinstance(record, Species) and field == "max_length_cm":
        text += _LENGTHS.get(record.length_type, "")
    return Fact(label, text, record.provenance(field), record.is_memory(field))
