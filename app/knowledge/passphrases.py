"""The passphrases that are tried first."""

import functools
import importlib.resources
import tomllib
from typing import Final

from app.domain.passphrase import folded

FILE: Final = "common_passphrases.toml"


@functools.cache
def common() -> frozenset[str]:
    """The known phrases and the words they are made of, as `domain.passphrase.folded` gives them.

    From memory; read from the file beside this module and remembered.
    """
    content = importlib.resources.files("app.knowledge").joinpath(FILE).read_text("utf-8")
    lists = tomllib.loads(content)
    return frozenset(folded(text) for name in ("phrases", "words") for text in lists[name])
