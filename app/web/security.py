"""What every answer carries and every request must pass, whatever the page."""

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


def _refuse_foreign_posts() -> None:
    """Refuse what another site makes a browser send here (beside the token of each form)."""
    foreign = request.headers.get("Sec-Fetch-Site") == "cross-site"
    if foreign and request.method not in {"GET", "HEAD", "OPTIONS"}:
        abort(403)


def _add_headers(answer: Response) -> Response:
    for name, value in HEADERS.items():
        answer.headers.setdefault(name, value)
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
    app.after_request(_add_headers)
