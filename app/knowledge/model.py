"""What a sourced number, a source and a caution are."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from app.domain.quantities import Quantity
from app.knowledge.catalogue import Plant, Species
from app.knowledge.lessons import Lesson


class KnowledgeError(ValueError):
    """A data file says too little, too much, or something that does not exist."""


class Basis(StrEnum):
    """How sure a number is."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    MEMORY = "from memory, not checked"
    OWN = "this project’s own choice"


@dataclass(frozen=True, slots=True)
class Source:
    """A publication: its key and how to name it."""

    key: str
    title: str


@dataclass(frozen=True, slots=True)
class Number:
    """One sourced number with its unit; `source` is a key of `Knowledge.sources` or ''.

    `file` is the name of the data file that holds it, without its ending.
    """

    key: str
    value: float
    unit: str
    basis: Basis
    source: str
    note: str
    file: str = ""


@dataclass(frozen=True, slots=True)
class Caution:
    """What to know before hands get wet, as short lines, with its source key."""

    key: str
    title: str
    lines: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Word:
    """A term with its meaning for adults and for a child of eight."""

    label: str
    meaning: str
    child: str


@dataclass(frozen=True, slots=True)
class KitStep:
    """One thing to do with a test kit, and the seconds to wait before the next."""

    text: str
    wait_s: float


class KitWay(StrEnum):
    """How a kit is read: a color card, a strip with pads, or a number (meter, counted drops)."""

    CARD = "card"
    STRIP = "strip"
    NUMBER = "number"


@dataclass(frozen=True, slots=True)
class KitKind:
    """A kind of test kit by what it reads and how; the sheet of the kit in hand comes first.

    `basis_note` says what its numbers count, `keeps` how long it can be trusted.
    """

    key: str
    reads: tuple[Quantity, ...]
    way: KitWay
    title: str
    basis_note: str
    keeps: str
    steps: tuple[KitStep, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One step of starting or closing a tank; `part` is the group it stands in.

    `check` tells when it is done, `tick` is what is then written down, `wait` how long the next
    step waits after that, or None. `cautions` and `source` are keys.
    """

    key: str
    part: str
    title: str
    lines: tuple[str, ...]
    check: str
    tick: str
    wait: Number | None
    cautions: tuple[str, ...]
    basis: Basis
    source: str

    @property
    def name(self) -> str:
        """The key without the list it belongs to, for addresses."""
        return self.key.partition(".")[2]


@dataclass(frozen=True, slots=True)
class Advice:
    """A few lines on one question, with where they come from."""

    key: str
    title: str
    lines: tuple[str, ...]
    basis: Basis
    source: str


@dataclass(frozen=True, slots=True)
class OutsideCheck:
    """What was held against something outside the project, and how far the two were apart."""

    what: str
    against: str
    range: str
    difference: str
    allowed: str
    source: str


@dataclass(frozen=True, slots=True)
class Knowledge:
    """All numbers, texts and lists, read once. `version` changes whenever any file does.

    Numbers, sources, cautions, steps, advice, lessons and kits go by their key, animals and plants
    by scientific name. Steps and lessons stand in their order. `tank_words` are the nicknames
    that are also words for what may be in a tank.
    """

    numbers: Mapping[str, Number]
    sources: Mapping[str, Source]
    cautions: Mapping[str, Caution]
    words: tuple[Word, ...]
    nicknames: tuple[str, ...]
    tank_words: frozenset[str]
    species: Mapping[str, Species]
    plants: Mapping[str, Plant]
    kits: Mapping[str, KitKind]
    checks: tuple[OutsideCheck, ...]
    steps: Mapping[str, Step]
    advice: Mapping[str, Advice]
    lessons: Mapping[str, Lesson]
    version: str

    def value(self, key: str) -> float:
        """The number called `key`.

        Raises:
            KeyError: If no file holds it.
        """
        return self.numbers[key].value
