"""What the template of this folder gets."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.knowledge.model import Word


@dataclass(frozen=True, slots=True)
class WordsPage:
    """All terms; `device_url` leads a grown-up out of the helpers' four pages."""

    rows: tuple[tuple[str, str, str], ...]
    device_url: str


def words_page(words: Sequence[Word], device_url: str) -> WordsPage:
    """The page from the terms."""
    return WordsPage(tuple((w.label, w.meaning, w.child) for w in words), device_url)
