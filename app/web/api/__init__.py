"""For programs: `/api/v1`, JSON in and out, a bearer token with every request.

There are no pages here, no cookies and no sessions. Each address is an `Operation`, which says who
may ask, what is sent and what is answered; the document at `/api/v1/openapi.json` is made from
the same operations.
"""

from flask import Blueprint

bp: Blueprint = Blueprint("api", __name__, url_prefix="/api/v1")

from app.web.api import document, entries, manners, readings, tanks  # noqa: E402, F401  # they hang themselves on `bp`
from app.web.api.operation import hang_all  # noqa: E402

hang_all()
