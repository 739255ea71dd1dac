"""Who may open what: one table for all pages, checked before any view runs."""

from enum import IntEnum

from flask import Flask, abort, redirect, request, url_for
from flask.typing import ResponseReturnValue

from app.web.errors import not_saved_yet
from app.web.request import maybe_visitor


class Right(IntEnum):
    """What a page asks for; each includes the ones before it."""

    ANYBODY = 0
    HELPER = 1
    ADULT = 2


# A page by its endpoint, or all pages of a blueprint by its name; the endpoint counts first.
# What stands in neither is refused to everybody, and a test walks the map of addresses.
RIGHTS = {
    "static": Right.ANYBODY,
    "access": Right.ANYBODY,
    "access.tanks": Right.HELPER,
    "access.device": Right.HELPER,
    "access.hand_over": Right.ADULT,
    "access.sign_out": Right.ADULT,
    "today": Right.HELPER,
    "writing": Right.HELPER,
    "writing.animals": Right.ADULT,
    "writing.ammonia": Right.ADULT,
    "charts": Right.HELPER,
    "ahead": Right.ADULT,
    "ahead.predict": Right.HELPER,
    "ahead.take_guess_back": Right.HELPER,
    "workings": Right.HELPER,
    "workings.work_by_adult": Right.ADULT,
    "words": Right.ANYBODY,
    "numbers": Right.ADULT,
    "todo": Right.ADULT,
    "story": Right.ADULT,
    "livestock": Right.ADULT,
    "ideas": Right.ADULT,
    "plants": Right.ADULT,
    "tank": Right.ADULT,
    "course": Right.ADULT,
    "trouble": Right.ADULT,
    "settings": Right.ADULT,
    "exchange": Right.ADULT,
}


def right_of(endpoint: str) -> Right | None:
    """What the page asks for, or None when nobody declared it."""
    return RIGHTS.get(endpoint, RIGHTS.get(endpoint.split(".", maxsplit=1)[0]))


def may_open(endpoint: str) -> bool:
    """Whether this browser may open the page."""
    needed = right_of(endpoint)
    if needed is None or needed is Right.ANYBODY:
        return needed is not None
    found = maybe_visitor()
    return found is not None and (found.is_adult or needed is Right.HELPER)


def _check() -> ResponseReturnValue | None:
    if request.endpoint is None or may_open(request.endpoint):
        return None
    if maybe_visitor() is not None or right_of(request.endpoint) is None:
        abort(403)
    if request.method == "POST":
        return not_saved_yet()
    return redirect(url_for("access.home"), code=303)


def register(app: Flask) -> None:
    """Check the rights of every request."""
    app.before_request(_check)
