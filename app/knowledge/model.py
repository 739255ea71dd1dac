"""What a sourced number, a source and a caution are."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


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
    """One sourced number with its unit; `source` is a key of `Knowledge.sources` or ''."""

    key: str
    value: float
    unit: str
    basis: Basis
    source: str
    note: str


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
class Knowledge:
    """All numbers and texts, read once. `version` changes whenever any file does."""

    numbers: Mapping[str, Number]
    sources: Mapping[str, Source]
    cautions: Mapping[str, Caution]
    words: tuple[Word, ...]
    nicknames: tuple[str, ...]
    version: str

    def value(self, key: str) -> float:
        """The number called `key`.

        Raises:
            KeyError: If no file holds it.
        """
        return self.numbers[key].value
