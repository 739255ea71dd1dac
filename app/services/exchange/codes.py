"""Codes in place of nicknames: what leaves the record names no child."""

from collections import Counter
from collections.abc import Mapping
from typing import Final

from sqlalchemy.orm import Session

from app.domain.nicknames import any_of
from app.knowledge.load import load
from app.storage.models.access import A_HELPER
from app.storage.queries.nicknames import kept

SHARED: Final = A_HELPER
"""What stands in a text for a nickname that several helpers have or had."""


def code_of(author_id: int) -> str:
    """The code of a helper, by the number of their author."""
    return f"Helper {author_id}"


class Codes:
    """The codes of a record's helpers.

    Whoever was replaced before keeps "Past helper" and a number, which names nobody.
    """

    def __init__(self, nicknames: Mapping[int, str]) -> None:
        """Take the nicknames by the number of their author."""
        self._names = {author_id: code_of(author_id) for author_id in nicknames}
        often = Counter(nicknames.values())
        self._in_texts = {
            nickname.casefold(): SHARED if often[nickname] > 1 else code_of(author_id)
            for author_id, nickname in nicknames.items()
        }
        self._words = any_of(frozenset(nicknames.values()), load().tank_words)

    def name(self, author_id: int | None, name: str) -> str:
        """What stands for the name of an author."""
        return name if author_id is None else self._names.get(author_id, name)

    def text(self, text: str) -> str:
        """A text with the code in each place of a nickname, however it is spelled.

        A word that also names what may be in a tank is a nickname as it stands on the tile only.
        """
        if self._words is None or not text:
            return text
        return self._words.sub(lambda found: self._in_texts.get(found[0].casefold(), SHARED), text)


def codes_of(session: Session) -> Codes:
    """The codes of all helpers whose nickname is still kept, in all classes."""
    return Codes(
        {author_id: name for author_id, name in kept(session).items() if name != code_of(author_id)}
    )
