"""Look ahead: what will happen if everything goes on, or if something changes."""

from flask import Blueprint

bp = Blueprint("ahead", __name__)

from app.web.ahead import (  # noqa: E402  # they hang themselves on it
    closure,  # noqa: F401
    ledger,  # noqa: F401
    next_tests,  # noqa: F401
    nitrate,  # noqa: F401
    outage,  # noqa: F401
    oxygen,  # noqa: F401
    predictions,  # noqa: F401
    views,  # noqa: F401
    warmth,  # noqa: F401
    what_changed,  # noqa: F401
)
