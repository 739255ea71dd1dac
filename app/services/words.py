"""What the pages say from `knowledge`: cautions at their steps, words, numbers, nicknames."""

from collections.abc import Iterable

from app.knowledge.load import load
from app.knowledge.model import Caution, Number, Source, Word


def cautions(keys: Iterable[str]) -> tuple[Caution, ...]:
    """The cautions with these keys, in the order asked for.

    Raises:
        KeyError: If there is no such caution.
    """
    known = load().cautions
    return tuple(known[key] for key in keys)


def words() -> tuple[Word, ...]:
    """All terms with their meaning for adults and for children."""
    return load().words


def numbers() -> tuple[Number, ...]:
    """Every number that the app works with, in the order of the files."""
    return tuple(load().numbers.values())


def source_of(number: Number) -> Source | None:
    """The publication a number comes from, or None for common practice and own choices."""
    return load().sources.get(number.source)


def source_named(key: str) -> Source | None:
    """The publication with this key, or None for common practice and own choices."""
    return load().sources.get(key)


def nicknames() -> tuple[str, ...]:
    """The nicknames that a tile may carry."""
    return load().nicknames
