"""A server on a slow line: each page comes in two parts, so that a test that asks too soon fails.

`SILLPOND_SLOW_ANSWERS=0.3 python -m pytest tests/browser` waits so many seconds before each part.
"""

import os
import time
from collections.abc import Callable, Iterator
from typing import Any

SECONDS = float(os.environ.get("SILLPOND_SLOW_ANSWERS", "0"))
# what a test looks for stands after it
_CUT = b"<h1"


def slowly(app: Callable[[dict[str, Any], Any], Any]) -> Callable[[dict[str, Any], Any], Any]:
    """The app, whose pages stop for a while before their heading; as it is without the setting."""
    return _late(app) if SECONDS else app


def _late(app: Callable[[dict[str, Any], Any], Any]) -> Callable[[dict[str, Any], Any], Any]:
    def answer(environ: dict[str, Any], start_response: Any) -> Iterator[bytes]:
        time.sleep(SECONDS)
        made = app(environ, start_response)
        try:
            whole = b"".join(made)
        finally:
            if hasattr(made, "close"):
                made.close()
        head, cut, rest = whole.partition(_CUT)
        yield head
        if cut:
            time.sleep(SECONDS)
            yield cut + rest

    return answer
