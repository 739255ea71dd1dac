"""Animals and plants with their needs, and where each value comes from."""

import re
from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from app.domain.livestock import OwnSpecies

Span = tuple[float, float]

UNCHECKED: Final = "from memory, not checked"
UNKNOWN: Final = "not known"
OWN: Final = "own"
# how a field is called in the list of what was looked up, and in the text on sources
_TAGS: Final = {
    "max_length_cm": "max_length_cm",
    "length_type": "max_length_cm",
    "origin": "origin",
    "ph": "pH",
    "also_known_as": "also_known_as",
}
_PARTS: Final = {
    "max_length_cm": ("length",),
    "length_type": ("length",),
    "origin": ("origin",),
    "ph": ("pH",),
}
_BUILD: Final = re.compile(r"body-shape prior \((.+?),")


@dataclass(frozen=True, slots=True, kw_only=True)
class Organism(ABC):
    """What animals and plants of the catalogue share: their names, and where values come from.

    `looked_up` names what was looked up; everything else is from memory.
    """

    scientific_name: str
    common_name: str
    also_known_as: tuple[str, ...] = ()
    temp_c: Span | None = None
    source: str = ""
    looked_up: frozenset[str] = frozenset()
    confidence: str = "memory"

    @property
    def names(self) -> tuple[str, ...]:
        """Every name, the common one first."""
        return (self.common_name, self.scientific_name, *self.also_known_as)

    @property
    def slug(self) -> str:
        """The scientific name for an address."""
        return slug(self.scientific_name)

    def is_memory(self, field: str) -> bool:
        """Whether a value, in part or whole, was not looked up.

        Raises:
            AttributeError: If there is no such field.
        """
        said = self.provenance(field)
        return "from memory" in said and not said.startswith("looked up")

    def provenance(self, field: str) -> str:
        """Where the value of a field comes from, in plain words; small first letter, no stop.

        Raises:
            AttributeError: If there is no such field.
        """
        if getattr(self, field) in (None, "", (), frozenset(), (None, None)):
            return UNKNOWN
        return self._provenance(field)

    @abstractmethod
    def _provenance(self, field: str) -> str:
        """The same for a field that is filled."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Species(Organism):
    """One animal of the catalogue. Ranges are (low, high); None or "" where nobody knows.

    `temp_c`, `ph` and `gh` (dGH) are the recommended ranges, the ones to use; `db_*` keep what a
    database or book says, which may differ or lack an end. `adult_tl_cm` is the total length of
    a usual grown animal in a tank, `max_length_cm` a record, measured as `length_type` says (TL
    with the tail, SL without, BL body, SH shell). `length_weight_a` and `_b` give grams from
    total length in cm.
    """

    group: str = "fish"
    family: str = ""
    origin: str = ""
    max_length_cm: float | None = None
    length_type: str = ""
    adult_tl_cm: float | None = None
    ph: Span | None = None
    gh: Span | None = None
    min_group: int | None = None
    position: str = ""
    temperament: frozenset[str] = frozenset()
    min_tank_liters: float | None = None
    length_weight_a: float | None = None
    length_weight_b: float | None = None
    length_weight_source: str = ""
    diet: str = ""
    cautions: tuple[str, ...] = ()
    temp_source: str = ""
    db_ph: tuple[float | None, float | None] = (None, None)
    db_gh: tuple[float | None, float | None] = (None, None)
    db_temp_c: tuple[float | None, float | None] = (None, None)

    @property
    def build(self) -> str:
        """The body shape that its weight from length is taken from: "eel-like", or "" if none."""
        found = _BUILD.search(self.length_weight_source)
        return found[1] if found else ""

    def _provenance(self, field: str) -> str:
        if self.confidence == OWN:
            return f"from your own list: {self.source}" if self.source else UNCHECKED
        told = _TOLD_APART.get(field)
        if told is not None:
            return told(self)
        if _TAGS.get(field) not in self.looked_up:
            return UNCHECKED
        read = _part(self.source, _PARTS.get(field, ())) or self.source
        return read if read.startswith("checked") else f"looked up: {read}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plant(Organism):
    """One plant of the catalogue; `regulated` is yes, check or none known: laws are local."""

    growth_form: str = ""
    placement: str = ""
    light_need: str = ""
    growth_rate: str = ""
    notes: tuple[str, ...] = ()
    regulated: str = ""

    def _provenance(self, field: str) -> str:
        if field == "notes" and "planting rule" in self.looked_up:
            return f"planting looked up: {self.source}"
        return f"looked up: {self.source}" if field in self.looked_up else UNCHECKED


def slug(name: str) -> str:
    """A name for an address: "Anubias barteri var. nana" gives "anubias-barteri-var-nana"."""
    return "-".join(re.findall(r"[a-z0-9]+", name.lower()))


def own_species(own: OwnSpecies) -> Species:
    """An animal of the household's own list, as one of the catalogue.

    Words of temperament may stand behind commas or semicolons; "middle" is the list's "mid".
    """
    return Species(
        scientific_name=own.scientific_name,
        common_name=own.common_name,
        group=own.group,
        temp_c=own.temperature_c,
        ph=own.ph,
        gh=own.gh,
        adult_tl_cm=own.adult_cm,
        min_group=own.min_group,
        position="mid" if own.position == "middle" else own.position,
        temperament=frozenset(filter(None, map(str.strip, re.split("[;,]", own.temperament)))),
        source=own.source,
        confidence=OWN,
    )


def _part(source: str, labels: tuple[str, ...]) -> str:
    """What the text on sources says after one of these labels, or ""."""
    for piece in source.split("; "):
        label, colon, said = piece.partition(": ")
        if colon and label in labels:
            return said
    return ""


def _family(species: Species) -> str:
    part = _part(species.source, ("family",))
    return f"looked up: {part}" if part else UNCHECKED


def _temperature(species: Species) -> str:
    low, high = species.db_temp_c
    if "temp" not in species.looked_up or low is None or high is None:
        return UNCHECKED
    if species.temp_c == (low, high):
        return _read_temperature(species)
    return (
        f"from memory, checked against a looked-up {low:g}-{high:g} C: "
        f"{_read_temperature(species).removeprefix('looked up: ')}"
    )


def _read_temperature(species: Species) -> str:
    return f"looked up: {species.temp_source.partition('; recommended range')[0]}"


def _gh(species: Species) -> str:
    if "gh_max_dgh" in species.looked_up:
        upper = _part(species.source, ("GH max",)).removesuffix(", min: memory")
        return f"upper end looked up, lower end from memory, not checked: {upper}"
    if "GH" not in species.looked_up:
        return UNCHECKED
    return f"looked up: {_part(species.source, ('GH',))}"


def _weight(species: Species) -> str:
    source = species.length_weight_source
    if "length_weight" in species.looked_up:
        return f"looked up: {source}"
    return f"looked up for its shape of body, not for this animal: {source}"


def _min_group(species: Species) -> str:
    return _checked(species) if "min_group" in species.looked_up else UNCHECKED


def _cautions(species: Species) -> str:
    if "cautions_part" in species.looked_up:
        return f"from memory, in part {_checked(species)}"
    return _checked(species) if "cautions" in species.looked_up else UNCHECKED


def _checked(species: Species) -> str:
    """What group and cautions were held against; they are common practice all the same."""
    _, _, found = species.source.partition("checked: ")
    return f"checked: {found}" if found else "checked"


def _database(_: Species) -> str:
    return "looked up: FishBase snapshot of 14 Feb 2013"


def _about(_: Species) -> str:
    return "tells where the other values come from"


# fields whose origin needs more than one tag to tell
_TOLD_APART: Final[dict[str, Callable[[Species], str]]] = {
    "family": _family,
    "temp_c": _temperature,
    "gh": _gh,
    "min_group": _min_group,
    "cautions": _cautions,
    "length_weight_a": _weight,
    "length_weight_b": _weight,
    "db_temp_c": _read_temperature,
    "db_ph": _database,
    "db_gh": _database,
    "source": _about,
    "temp_source": _about,
    "length_weight_source": _about,
    "looked_up": _about,
    "confidence": _about,
}
