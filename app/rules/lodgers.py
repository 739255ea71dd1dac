"""What comparing the needs of animals takes and gives: lodgers, surroundings, clashes."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import IntEnum, StrEnum
from typing import Final

from app.domain.wording import listed, short, with_unit
from app.knowledge.catalogue import Span, Species
from app.rules.model import LimitShown
from app.science.units import fahrenheit_from_celsius as _fahrenheit

HEIGHTS: Final = {"surface": "at the surface", "mid": "in the middle", "bottom": "at the bottom"}
UNITS: Final = {"temp_c": "°C", "ph": "", "gh": "°dGH", "adult_tl_cm": "cm", "min_tank_liters": "L"}
# how the words of the catalogue are said
_WORDS: Final = {"semi": "pushy at times", "fin-nipping": "nips fins", "mid": "middle"}
WANTED_LABELS: Final = {
    "temp_c": "temperature",
    "ph": "pH",
    "gh": "general hardness (GH)",
    "min_group": "smallest group",
    "temperament": "temperament",
    "position": "height",
    "adult_tl_cm": "grown length",
    "min_tank_liters": "smallest tank",
    "length_weight_a": "weight from length",
    "cautions": "what to know",
    "diet": "food",
}


@dataclass(frozen=True, slots=True)
class Lodger:
    """Animals of one kind that live together, or might.

    `adult_cm` is the grown total length that the household set; None: the catalogue's.
    """

    name: str
    count: int
    species: Species | None
    adult_cm: float | None = None

    @property
    def called(self) -> str:
        """The common name, or the household's own where nobody said which animal it is."""
        return (self.species.common_name if self.species else self.name).replace("'", "’")

    def under_own_name(self) -> "Lodger":
        """The same animals, called by the household's name in every sentence."""
        if self.species is None:
            return self
        return replace(self, species=replace(self.species, common_name=self.name))

    @property
    def grown_cm(self) -> float | None:
        """The total length of a grown animal, or None where nobody knows."""
        if self.adult_cm is not None:
            return self.adult_cm
        return self.species.adult_tl_cm if self.species else None

    def span(self, field: str) -> Span | None:
        """The wanted range `temp_c`, `ph` or `gh`."""
        found: Span | None = getattr(self.species, field) if self.species else None
        return found

    def is_(self, temper: str) -> bool:
        """Whether the animal is of this temperament."""
        return self.species is not None and temper in self.species.temperament

    @property
    def cautions(self) -> tuple[str, ...]:
        """What the catalogue says about keeping it."""
        return self.species.cautions if self.species else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """The tank as the comparison needs it; None where nobody measured.

    Volumes in liters, length in cm, surface in square meters. `glass_l` is what the tank holds
    to its rim, `net_l` the water in it. `temperature_c` is (lowest, highest) of recent readings.
    `fahrenheit` says how the site reads temperatures; the numbers here are in °C all the same.
    """

    net_l: float | None = None
    glass_l: float | None = None
    length_cm: float | None = None
    surface_m2: float | None = None
    set_point_c: float | None = None
    temperature_c: Span | None = None
    ph: float | None = None
    gh: float | None = None
    fahrenheit: bool = False


class ClashLevel(IntEnum):
    """How much a clash weighs."""

    REMARK = 0
    CAUTION = 1
    CONFLICT = 2

    @property
    def word(self) -> str:
        """The word shown beside the sentence."""
        return self.name.capitalize()


class ClashKind(StrEnum):
    """What a clash is about."""

    TEMPERATURE = "temperature"
    PH = "ph"
    GH = "gh"
    EATEN = "eaten"
    TEMPERAMENT = "temperament"
    ALONE = "alone"
    GROUP = "group"
    TANK = "tank"
    LENGTH = "length"
    CROWDED = "crowded"
    HEIGHT = "height"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class ValueSource:
    """One value that a clash rests on, and where it comes from in plain words."""

    name: str
    what: str
    value: str
    said: str
    is_memory: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Two animals, or an animal and the tank, that do not go together, with the numbers.

    `names` are the common names of those concerned; `slugs` lead to their pages.
    """

    kind: ClashKind
    level: ClashLevel
    text: str
    names: tuple[str, ...]
    slugs: tuple[str, ...] = ()
    sources: tuple[ValueSource, ...] = ()
    limits: tuple[LimitShown, ...] = ()


def clash(
    kind: ClashKind,
    level: ClashLevel,
    text: str,
    lodgers: Sequence[Lodger],
    fields: Sequence[str],
    *,
    limits: Sequence[LimitShown] = (),
) -> Clash:
    """A clash with the sources of the values that it rests on, for each animal."""
    return Clash(
        kind=kind,
        level=level,
        text=text,
        names=tuple(lodger.called for lodger in lodgers),
        slugs=tuple(lodger.species.slug for lodger in lodgers if lodger.species),
        sources=tuple(said for lodger in lodgers for f in fields for said in _said(lodger, f)),
        limits=tuple(limits),
    )


def together(animals: Sequence[Lodger]) -> tuple[Lodger, ...]:
    """The living list, groups of one species as one; those of no species stay apart."""
    found: dict[str, Lodger] = {}
    for at, lodger in enumerate(animals):
        if lodger.count <= 0:
            continue
        key = lodger.species.scientific_name if lodger.species else f"{at}"
        before = found.get(key)
        found[key] = lodger if before is None else _merged(before, lodger)
    return tuple(found.values())


def _merged(one: Lodger, other: Lodger) -> Lodger:
    grown = [a.adult_cm for a in (one, other) if a.adult_cm is not None]
    return replace(one, count=one.count + other.count, adult_cm=max(grown, default=None))


def span_text(span: Span, unit: str, *, fahrenheit: bool = False) -> str:
    """A range in words: "20 to 26 °C"; in whole degrees Fahrenheit where the site reads them."""
    low, high = span
    if unit == "°C" and fahrenheit:
        low, high, unit = round(_fahrenheit(low)), round(_fahrenheit(high)), "°F"
    if low == high:
        return with_unit(short(low), unit)
    return f"{short(low)} to {with_unit(short(high), unit)}"


def _said(lodger: Lodger, field: str) -> tuple[ValueSource, ...]:
    species = lodger.species
    if species is None or getattr(species, field) in (None, (), "", frozenset()):
        return ()
    if field == "adult_tl_cm" and lodger.adult_cm is not None:
        value = with_unit(short(lodger.adult_cm), "cm")
        return (ValueSource(lodger.called, WANTED_LABELS[field], value, "set by you", False),)
    return (
        ValueSource(
            lodger.called,
            WANTED_LABELS[field],
            value_words(getattr(species, field), UNITS.get(field, "")),
            species.provenance(field),
            species.is_memory(field),
        ),
    )


def value_words(value: object, unit: str = "") -> str:
    """A value of the catalogue in words: a range, in °C also in °F, a number, a list."""
    match value:
        case (float() | int() as low, float() | int() as high) if unit == "°C":
            span = (low, high)
            return f"{span_text(span, unit)} ({span_text(span, unit, fahrenheit=True)})"
        case (float() | int() as low, float() | int() as high):
            return span_text((low, high), unit)
        case float() | int():
            return with_unit(short(value), unit)
        case frozenset():
            return listed(sorted(_WORDS.get(str(v), str(v)) for v in value))
        case tuple():
            return "; ".join(str(v) for v in value).replace("'", "’")
        case _:
            return _WORDS.get(str(value), str(value)).replace("'", "’")
