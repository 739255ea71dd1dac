"""Who may open what: one table for all pages, checked before any view runs."""

from typing import Final

from flask import Flask, abort, redirect, request, url_for
from flask.typing import ResponseReturnValue

from app.domain.people import Role
from app.web.errors import not_saved_yet
from app.web.request import maybe_visitor

Roles = frozenset[Role]

ANYBODY: Final[Roles] = frozenset(Role)
"""Whoever comes; a page behind a link looks at the link itself."""
SIGNED_IN: Final[Roles] = ANYBODY - {Role.STRANGER}
ADULTS: Final[Roles] = SIGNED_IN - {Role.HELPER}
CARERS: Final[Roles] = frozenset({Role.TECHNICIAN, Role.KEEPER})
"""Who does jobs, tests and equipment."""
OVERSEERS: Final[Roles] = frozenset({Role.COORDINATOR, Role.KEEPER})
"""Who looks over several tanks."""
KEEPERS: Final[Roles] = frozenset({Role.KEEPER})
"""Who may see pupils' tiles, change what is known of a tank, share and hand over."""

# A page by its endpoint, or all pages of a blueprint by its name; the endpoint counts first.
# What stands in neither is refused to everybody, and a test walks the map of addresses.
RIGHTS: Final[dict[str, Roles]] = {
    "static": ANYBODY,
    "access": ANYBODY,
    "access.tanks": SIGNED_IN,
    "access.device": SIGNED_IN,
    "access.hand_over": ADULTS,
    "access.sign_out": ADULTS,
    "today": SIGNED_IN,
    "writing": SIGNED_IN,
    "writing.catch_up": CARERS,
    "writing.animals": ADULTS,
    "writing.ammonia": ADULTS,
    "charts": SIGNED_IN,
    "ahead": ADULTS,
    "ahead.predict": SIGNED_IN,
    "ahead.take_guess_back": SIGNED_IN,
    "workings": SIGNED_IN,
    "workings.work_by_adult": ADULTS,
    "words": ANYBODY,
    "numbers": ADULTS,
    "todo": ADULTS,
    "story": ADULTS,
    "livestock": ADULTS,
    "ideas": ADULTS,
    "plants": ADULTS,
    "tank": ADULTS,
    "course": ADULTS,
    "trouble": ADULTS,
    "settings": ADULTS,
    "exchange": ADULTS,
}


def roles_of(endpoint: str) -> Roles | None:
    """Who may open the page, or None when nobody declared it."""
    return RIGHTS.get(endpoint, RIGHTS.get(endpoint.split(".", maxsplit=1)[0]))


def may_open(endpoint: str) -> bool:
    """Whether this browser may open the page."""
    roles = roles_of(endpoint)
    if roles is None or roles is ANYBODY:
        return roles is not None
    found = maybe_visitor()
    return found is not None and found.role in roles


def _check() -> ResponseReturnValue | None:
    if request.endpoint is None or may_open(request.endpoint):
        return None
    if maybe_visitor() is not None or roles_of(request.endpoint) is None:
        abort(403)
    if request.method == "POST":
        return not_saved_yet()
    return redirect(url_for("access.home"), code=303)


def register(app: Flask) -> None:
    """Check the rights of every request."""
    app.before_request(_check)
