"""Buttons that save nothing: the page comes back with all that was typed.

What was typed stands in its address, so that it can be loaded again and needs no script.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from urllib.parse import urlencode

from flask import redirect, request
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import MultiDict

from app.web.fields import PageForm

MORE = "more"
BEGIN = "begin"
LOOK = "look"
_BUTTONS = frozenset({MORE, BEGIN, LOOK})


@dataclass(frozen=True, slots=True)
class Added:
    """What a pressed button adds: fields with their values, and the place to come back to."""

    fields: Mapping[str, str] = field(default_factory=dict)
    place: str = ""


def came_back() -> bool:
    """Whether this page is one that such a button led back to."""
    return request.method == "GET" and "token" in request.args


def typed_so_far() -> MultiDict[str, str]:
    """What stands in the form, as far as anybody typed."""
    return request.args if came_back() else request.form


def come_back(form: PageForm, added: Added) -> ResponseReturnValue:
    """Show the same page with what was typed, and with more or other fields."""
    left_out = _BUTTONS | added.fields.keys()
    typed = [(name, value) for name, value in form.typed() if name not in left_out]
    pairs = [("token", form.once), *typed, *added.fields.items()]
    place = f"#{added.place}" if added.place else ""
    return redirect(f"{request.path}?{urlencode(pairs)}{place}", 303)
