"""Whether this server can do its work, for whatever watches over it: one word, no data."""

from flask import Blueprint, Response
from flask.typing import ResponseReturnValue

from app.services.installation import health
from app.web.request import parts

bp = Blueprint("health", __name__)


@bp.get("/healthz")
def healthz() -> ResponseReturnValue:
    """200 with "ok", or 503 with the word for what is wrong; without a session."""
    # who asks is not looked up: that would be a read of its own
    fault = health.fault(parts().database)
    return Response(f"{fault or 'ok'}\n", 503 if fault else 200, mimetype="text/plain")
