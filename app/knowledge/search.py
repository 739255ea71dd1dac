"""Finding animals and plants by any of their names."""

import unicodedata
from collections.abc import Iterable
from typing import Final, TypeVar

from app.knowledge.catalogue import Plant, Species
from app.knowledge.load import load

Record = TypeVar("Record", Species, Plant)

_SAME: Final = str.maketrans({"’": "'", "‘": "'", "-": " ", "(": " ", ")": " "})


def find_species(text: str) -> tuple[Species, ...]:
    """Animals with a common, scientific or former name that fits the text, best first."""
    return best_first(load().species.values(), text)


def find_plants(text: str) -> tuple[Plant, ...]:
    """Plants with a common, scientific or former name that fits the text, best first."""
    return best_first(load().plants.values(), text)


def best_first(records: Iterable[Record], text: str) -> tuple[Record, ...]:
    """Those whose name has, for each word of the text, a word that begins with it.

    Case, accents and kinds of hyphen or apostrophe do not count. A name that is the whole text
    comes before one that begins with it, that before one with the words inside; within each the
    common name comes before the scientific one and that before former ones, then the order of
    the list decides.

    Returns:
        Nothing for a text without letters.
    """
    wanted = folded(text).split()
    if not wanted:
        return ()
    ranked = [(rank, r) for r in records if (rank := _rank(r, wanted)) is not None]
    return tuple(r for _, r in sorted(ranked, key=lambda pair: pair[0]))


def folded(text: str) -> str:
    """A text without case, accents and differences of hyphens and apostrophes."""
    parts = unicodedata.normalize("NFKD", text.translate(_SAME))
    return "".join(c for c in parts if not unicodedata.combining(c)).casefold()


def _rank(record: Species | Plant, wanted: list[str]) -> tuple[int, int] | None:
    ranks = []
    for place, name in enumerate(record.names):
        words = folded(name).split()
        if all(any(word.startswith(w) for word in words) for w in wanted):
            begins = words[0].startswith(wanted[0])
            ranks.append((0 if words == wanted else 1 if begins else 2, min(place, 2)))
    return min(ranks, default=None)
