"""What every answer carries and every request must pass, whatever the page."""

from urllib.parse import urlsplit

from flask import Flask, Response, abort, request

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "X-Robots-Tag": "noindex",
}
STATIC_SECONDS = 3600
# a year; sent only to who came over TLS (RFC 6797, 7.2)
KEEP_TO_TLS = "max-age=31536000"
# of a form without files; the library bounds the fields of one with files by itself
MOST_FORM_BYTES = 512 * 1024
MOST_FIELDS = 1000
_FORM = "application/x-www-form-urlencoded"


def _refuse_foreign_posts() -> None:
    """Refuse what another site makes a browser send here (beside the token of each form)."""
    if request.method in {"GET", "HEAD", "OPTIONS"}:
        return
    if request.headers.get("Sec-Fetch-Site") == "cross-site" or _is_of_another_site(
        request.headers.get("Origin")
    ):
        abort(403)


def _refuse_large_forms() -> None:
    """Refuse a form of more text or fields than any page has: all of it may be shown again."""
    if request.mimetype == _FORM:
        request.max_content_length = MOST_FORM_BYTES
        if request.get_data().count(b"&") >= MOST_FIELDS:
            abort(413)


def _is_of_another_site(origin: str | None) -> bool:
    """Whether an Origin header names another host than the one that was asked.

    A page that sends no referrer has the origin "null", as the pages behind a link do; the port
    is left out, for a proxy in front may not pass it on.
    """
    if origin in {None, "null"}:
        return False
    try:
        return urlsplit(origin).hostname != urlsplit(f"//{request.host}").hostname
    except ValueError:
        return True


def _add_headers(answer: Response) -> Response:
    for name, value in HEADERS.items():
        answer.headers.setdefault(name, value)
    if request.is_secure:
        answer.headers["Strict-Transport-Security"] = KEEP_TO_TLS
    if request.endpoint == "static" and answer.status_code == 200:
        answer.headers["Cache-Control"] = f"private, max-age={STATIC_SECONDS}"
    elif "ETag" in answer.headers:
        answer.headers["Cache-Control"] = "private, no-cache"
    else:
        answer.headers["Cache-Control"] = "private, no-store"
    return answer


def register(app: Flask) -> None:
    """Check requests and put the headers on all answers, errors and files included."""
    app.before_request(_refuse_foreign_posts)
    app.before_request(_refuse_large_forms)
    app.after_request(_add_headers)
