"""One line for each request, for the person who runs the computer: no names, no typed text.

The route is named by its pattern, never by its address: an address may hold a key.
"""

import logging
import secrets
import time
from typing import Final

from flask import Flask, Response, g, request

LOGGER: Final = logging.getLogger("sillpond.request")


def number() -> str:
    """The number of this request, as it stands in the log and on a page that says what broke."""
    if "request_number" not in g:
        g.request_number = secrets.token_hex(4)
    return str(g.request_number)


def _begin() -> None:
    g.request_begun = time.perf_counter()


def _end(answer: Response) -> Response:
    if LOGGER.isEnabledFor(logging.INFO):
        rule = request.url_rule
        begun = g.get("request_begun", time.perf_counter())
        LOGGER.info(
            "request",
            extra={
                "facts": {
                    "number": number(),
                    "method": request.method,
                    "route": rule.rule if rule is not None else "",
                    "status": answer.status_code,
                    "ms": round(1000 * (time.perf_counter() - begun), 1),
                }
            },
        )
    return answer


def register(app: Flask) -> None:
    """Log every request that this application answers."""
    app.before_request(_begin)
    app.after_request(_end)
