"""Groups of animals with their batches, and plants."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class StockGroup:
    """A group of animals of one kind; `count` as of the snapshot.

    `species` is the scientific name of the catalogue, or "" while nobody said which it is.
    `hidden_losses` died, and pupils are not told yet: what they expect is `count` and these.
    `length_cm` is the last measured mean total length.
    """

    id: int
    name: str
    count: int
    band: str = "middle"
    adult_cm: float | None = None
    species: str = ""
    length_cm: float | None = None
    hidden_losses: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Animals of a group that came together; arrivals and losses name their batch."""

    id: int
    group_id: int
    label: str
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnSpecies:
    """An animal that the household wrote into its own catalogue, with where it read it.

    Ranges are (low, high) in °C, pH and dGH; None: unknown.
    """

    id: int
    scientific_name: str
    common_name: str
    group: str = "fish"
    temperature_c: tuple[float, float] | None = None
    ph: tuple[float, float] | None = None
    gh: tuple[float, float] | None = None
    adult_cm: float | None = None
    min_group: int | None = None
    position: str = ""
    temperament: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plant:
    """A kind of plant in one tank; `amount` is none, sparse, moderate or dense.

    `species` is the scientific name of the catalogue, or "".
    """

    id: int
    name: str
    species: str = ""
    amount: str = "moderate"
    floating: bool = False
    removed: bool = False
