"""A nickname in what people typed: found as a whole word, however it is spelled, and replaced."""

import re
from functools import lru_cache

PAST: str = "Past helper"


def past_name(number: int) -> str:
    """What stands for a helper whose nickname was replaced."""
    return f"{PAST} {number}"


@lru_cache(maxsize=256)
def _word(nickname: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w){re.escape(nickname)}(?!\w)", re.IGNORECASE)


@lru_cache(maxsize=16)
def any_of(nicknames: frozenset[str], things: frozenset[str]) -> re.Pattern[str] | None:
    """Finds each of these nicknames as a word of its own, however it is spelled; None for none.

    One that also names a thing in a tank is found as it stands on the tile only.
    """
    if not nicknames:
        return None
    # the longest first: "Helper 1" must not be found in "Helper 12"
    words = (
        re.escape(name) if name in things else f"(?i:{re.escape(name)})"
        for name in sorted(nicknames, key=lambda name: (-len(name), name))
    )
    return re.compile(rf"(?<!\w)(?:{'|'.join(words)})(?!\w)")


def holds(text: str, nickname: str) -> bool:
    """Whether a text holds the nickname as a word of its own, in capitals or not."""
    return _word(nickname).search(text) is not None


def put_back(typed: str, stands: str, read: str) -> str | None:
    """What was typed, with words that were read without nicknames as they stand.

    Args:
        typed: What came back.
        stands: The words as they stand in the record.
        read: The same as they were read.

    Returns:
        None where nicknames stand in the words, and they are not whole in what was typed.
    """
    if read == stands:
        return typed
    before, found, after = _one_line_end(typed).partition(_one_line_end(read).strip())
    return f"{before}{stands.strip()}{after}" if found else None


def _one_line_end(text: str) -> str:
    """A text as it was before a browser sent it: there each line ends with two characters."""
    return text.replace("\r\n", "\n")


def replaced(text: str, nickname: str, fresh: str) -> str:
    """The text with another word in each place of the nickname."""
    return _word(nickname).sub(lambda _: fresh, text)
