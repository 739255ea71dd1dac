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


def holds(text: str, nickname: str) -> bool:
    """Whether a text holds the nickname as a word of its own, in capitals or not."""
    return _word(nickname).search(text) is not None


def replaced(text: str, nickname: str, fresh: str) -> str:
    """The text with another word in each place of the nickname."""
    return _word(nickname).sub(lambda _: fresh, text)
