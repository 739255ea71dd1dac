"""What is wrong with the headers of an answer.

The rules are those of OWASP ASVS 5.0.0, 3.3 and 3.4, the policy is read as Content Security Policy
Level 3 says: directives between semicolons, a name and then sources.
"""

from collections.abc import Iterator
from typing import Final

from werkzeug.test import TestResponse

# what a page of the project may load, and from where: nothing but files of its own
SOURCES: Final = {"'none'", "'self'"}
WHOLE: Final = {
    "default-src": "'none'",
    "base-uri": "'none'",
    "form-action": "'self'",
    "frame-ancestors": "'none'",
}
FIXED: Final = {
    "X-Content-Type-Options": {"nosniff"},
    "X-Frame-Options": {"DENY"},
    "Referrer-Policy": {"same-origin", "no-referrer"},
    "Cross-Origin-Opener-Policy": {"same-origin"},
    "Cross-Origin-Resource-Policy": {"same-origin"},
    "X-Robots-Tag": {"noindex"},
}
NEVER: Final = ("Server", "X-Powered-By", "Access-Control-Allow-Origin")


def faults_of(answer: TestResponse, *, tls: bool = False) -> Iterator[str]:
    """Yield what is wrong with the headers of an answer, also of a file or an error."""
    yield from _of_policy(answer.headers.get("Content-Security-Policy", ""))
    for name, allowed in FIXED.items():
        if answer.headers.get(name) not in allowed:
            yield f"{name} is {answer.headers.get(name)!r}"
    for name in NEVER:
        if name in answer.headers:
            yield f"there is a header {name}"
    kept = answer.headers.get("Cache-Control", "")
    if not ({"private", "no-store"} & set(kept.replace(" ", "").split(","))):
        yield f"Cache-Control is {kept!r}: others may keep it"
    kind = answer.headers.get("Content-Type", "")
    if kind.startswith("text/") and "charset=utf-8" not in kind.lower():
        yield f"Content-Type is {kind!r}, without its charset"
    if ("Strict-Transport-Security" in answer.headers) is not tls:
        yield "Strict-Transport-Security does not fit how the page was asked for"
    for cookie in answer.headers.getlist("Set-Cookie"):
        yield from _of_cookie(cookie, tls=tls)


def _of_policy(policy: str) -> Iterator[str]:
    directives = {
        words[0]: words[1:] for part in policy.split(";") if (words := part.split())
    }  # fmt: skip
    for name, source in WHOLE.items():
        if directives.get(name) != [source]:
            yield f"the policy says {name} {directives.get(name)}"
    for name, sources in directives.items():
        if not sources or not set(sources) <= SOURCES:
            yield f"the policy lets {name} come from {sources}"


def _of_cookie(cookie: str, *, tls: bool) -> Iterator[str]:
    name, *attributes = [part.strip() for part in cookie.split(";")]
    for wanted in ("HttpOnly", "SameSite=Lax", "Path=/"):
        if wanted not in attributes:
            yield f"the cookie has no {wanted}"
    if any(a.startswith("Domain=") for a in attributes):
        yield "the cookie goes to other hosts"
    if tls != ("Secure" in attributes) or tls != name.startswith("__Host-"):
        yield "the cookie does not fit how the page was asked for"
