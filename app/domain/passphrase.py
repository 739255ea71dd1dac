"""What is too easily guessed to be a passphrase."""

import unicodedata
from collections.abc import Collection
from typing import Final

SHORTEST: Final = 15
LONGEST: Final = 200
# fewer different letters or digits, or fewer in all, are a pattern, however often repeated
_FEWEST_DIFFERENT: Final = 5
_FEWEST: Final = 10


def is_common(passphrase: str, common: Collection[str]) -> bool:
    """Whether a passphrase is one of those that are tried first.

    Case, accents, spaces, punctuation and repetition do not make it another one; nor do digits
    at its ends, or being put together of known ones.

    Args:
        passphrase: What was typed.
        common: The known ones as `folded` makes them.
    """
    bare = folded(passphrase)
    once = _unrepeated(bare)
    if len(once) < _FEWEST:
        return True
    forms = (bare, once, once.strip("0123456789"))
    return any(len(set(_without(form, common))) < _FEWEST_DIFFERENT for form in forms)


def folded(text: str) -> str:
    """What counts of a text: letters, digits and pictures, without case and accents."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return "".join(sign for sign in plain if sign.isalnum() or unicodedata.category(sign) == "So")


def _unrepeated(bare: str) -> str:
    """What a text repeats: "abcabcab" is "abc" over again."""
    lengths = range(1, len(bare) // 2 + 1)
    return next((bare[:n] for n in lengths if bare[n:] == bare[:-n]), bare)


def _without(bare: str, common: Collection[str]) -> str:
    """What is left of a text when what is known is taken out of it, the longest first."""
    for known in sorted((c for c in common if c in bare), key=len, reverse=True):
        bare = bare.replace(known, "")
    return bare
