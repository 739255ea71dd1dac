"""What all pages of a link have in common: no frame, no referrer, forms with a key of their own.

There is no session behind a link, so that the usual token of forms has nothing to rest on. The
key of a form is made from the link's token and the secret of this installation: who cannot open
the link cannot make it.
"""

import hashlib
import hmac
from typing import Final

from flask import Response, abort, g, render_template, request
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import HTTPException

from app.domain.errors import NotFound
from app.web.errors import ErrorPage
from app.web.guest import bp
from app.web.request import settings

KEY_FIELD: Final = "csrf_token"
_PURPOSE: Final = b"form of a link: "

_CLOSED: Final = ErrorPage(
    title="This link is closed",
    sentences=(
        "Nothing is behind it, or not on this day.",
        "Ask the person who gave it to you. In need, call them.",
    ),
)
_SLIP: Final = ErrorPage(
    title="That did not arrive as it should",
    sentences=("Nothing was written down.", "Open your link again and use its buttons."),
)


def form_key(token: str) -> str:
    """The key that the forms behind a link carry."""
    secret = settings().secret_key.encode()
    return hmac.new(secret, _PURPOSE + token.encode(), hashlib.sha256).hexdigest()


@bp.before_request
def _bare() -> None:
    g.bare_shell = True
    g.visitor = None


@bp.before_request
def _check_key() -> None:
    """Refuse a form that does not come from the page behind its link."""
    if request.method in {"GET", "HEAD", "OPTIONS"}:
        return
    if request.headers.get("Sec-Fetch-Site", "same-origin") != "same-origin":
        abort(403)
    token = (request.view_args or {}).get("token", "")
    sent = request.form.get(KEY_FIELD, "")
    if not hmac.compare_digest(sent.encode(), form_key(token).encode()):
        abort(400)


@bp.after_request
def _keep_quiet(answer: Response) -> Response:
    answer.headers["Referrer-Policy"] = "no-referrer"
    answer.headers["Cache-Control"] = "no-store"
    return answer


@bp.errorhandler(NotFound)
def _closed(_error: NotFound) -> ResponseReturnValue:
    return render_template("guest/closed.html", page=_CLOSED), 404


@bp.errorhandler(HTTPException)
def _slip(error: HTTPException) -> ResponseReturnValue:
    return render_template("guest/closed.html", page=_SLIP), error.code or 400
