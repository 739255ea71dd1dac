"""What a view may ask of the request it answers: record, moment, settings, who is there."""

import logging
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Protocol, cast

from flask import Flask, Request, abort, current_app, g, request, session
from sqlalchemy.exc import DBAPIError
from werkzeug.datastructures import ImmutableMultiDict, MultiDict
from werkzeug.routing import BaseConverter, IntegerConverter, Map, ValidationError

from app.clock import Clock
from app.domain.errors import NotFound
from app.rules.model import State
from app.services import board
from app.services.access import sign_ins
from app.services.access.people import Visitor
from app.services.access.tries import Origin
from app.services.entries import Stamp
from app.settings import Settings
from app.storage.engine import Database

_LOG = logging.getLogger(__name__)

# where the browser's own session token lies in the signed cookie
SESSION_TOKEN = "visit"  # noqa: S105  # the name of the place, not what lies there
# the tank whose label somebody scanned before signing in
SCANNED = "scanned"

# the largest number by which a row can be called: an integer of PostgreSQL has 32 bits
LARGEST_ID = 2**31 - 1
_ID = re.compile("[0-9]{1,19}")

# what no page may hold and no keyboard writes: controls beside tab and line ends, noncharacters
_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufdd0-\ufdef\ufffe\uffff]")


class PlainTexts(ImmutableMultiDict[str, str]):
    """Names and values of a form or an address, without unprintable characters."""

    def __init__(self, mapping: Iterable[tuple[str, str]] | dict[str, Any] | None = None) -> None:
        pairs = MultiDict(mapping or ()).items(multi=True)
        # files come through here too, and stay as they are
        super().__init__(
            [(_printable(k), _printable(v) if isinstance(v, str) else v) for k, v in pairs]
        )


class PlainRequest(Request):
    """A request whose texts can be shown on a page."""

    parameter_storage_class = PlainTexts


class IdConverter(IntegerConverter):
    """A number in an address that a row may have; no page has any other."""

    regex = _ID.pattern

    def __init__(self, url_map: Map) -> None:
        super().__init__(url_map, max=LARGEST_ID)


class DayConverter(BaseConverter):
    """A day in an address, such as 2027-02-08."""

    regex = r"[12][0-9]{3}-[0-9]{2}-[0-9]{2}"

    def to_python(self, value: str) -> date:
        """The day.

        Raises:
            ValidationError: If the calendar has no such day.
        """
        try:
            return date.fromisoformat(value)
        except ValueError:
            raise ValidationError from None

    def to_url(self, value: date) -> str:
        """The day as an address has it."""
        return value.isoformat()


def _printable(text: str) -> str:
    return _UNPRINTABLE.sub("", text)


@dataclass(frozen=True, slots=True)
class Parts:
    """What the factory wires into an application."""

    database: Database
    clock: Clock
    settings: Settings


def parts() -> Parts:
    """The parts of the application that answers this request."""
    return cast("Parts", current_app.extensions["sillpond"])


def database() -> Database:
    """Where sessions come from: `.reading()` for pages, `.writing()` for what they save.

    For whoever sees no pupils, which includes all who hold a link, no nickname is read in it:
    neither of a tile nor in what people typed.
    """
    whole, found = parts().database, maybe_visitor()
    return whole if found is not None and found.sees_pupils else whole.without_nicknames


def origin() -> Origin:
    """Where this request comes from, for the wait after wrong passphrases."""
    return Origin(request.remote_addr or "", settings().secret_key)


def settings() -> Settings:
    """The settings of this installation."""
    return parts().settings


def now() -> datetime:
    """The moment of this request, aware, in UTC; the same however often it is asked for."""
    if "moment" not in g:
        g.moment = parts().clock.now()
    return cast("datetime", g.moment)


def maybe_visitor() -> Visitor | None:
    """Who is signed in on this browser, or None; looked up once a request."""
    if "visitor" not in g:
        g.visitor = _look_up()
    return cast("Visitor | None", g.visitor)


def visitor() -> Visitor:
    """Who is signed in on this browser; on a page that anybody may open, ask `maybe_visitor`."""
    found = maybe_visitor()
    if found is None:
        abort(403)
    return found


def own_tank(tank_id: int) -> int:
    """The number of a tank that whoever is here may open.

    Raises:
        NotFound: If it is not theirs: it looks like one that is not there.
    """
    found = maybe_visitor()
    if found is not None and not found.may_see(tank_id):
        raise NotFound("There is no such tank.")
    return tank_id


def stamp_now(tank_id: int, token: str) -> Stamp:
    """What an entry carries that is written by whoever is there, of this very moment."""
    return Stamp(tank_id=tank_id, token=token, happened_at=now(), author_id=visitor().author_id)


def id_from(text: str) -> int | None:
    """The number of a row as an address writes it, or None where no row can have it."""
    number = int(text) if _ID.fullmatch(text) else None
    return None if number is None or number > LARGEST_ID else number


def id_arg(name: str) -> int | None:
    """The number of a row that the address gives for a name; None where it gives nothing.

    Raises:
        NotFound: If no row can have what it gives.
    """
    if name not in request.args:
        return None
    found = id_from(request.args[name])
    if found is None:
        raise NotFound("There is nothing with this number.")
    return found


class Standing(Protocol):
    """How a tank is, in the words of the head of its pages."""

    @property
    def state(self) -> State:
        """Its state."""

    @property
    def state_line(self) -> str:
        """What that means."""

    @property
    def child_line(self) -> str:
        """What that means, for pupils."""


def show_state(found: Standing | Callable[[], Standing | None]) -> None:
    """Let the head of this page show how its tank is; a function is asked if there is a page."""
    g.standing = found if callable(found) else lambda: found


def standing(tank_id: int) -> Standing | None:
    """How a tank is by what was kept of it, or worked out anew; None where it is closed."""
    pupils = not visitor().is_adult
    with database().reading() as reading:
        found = board.board(reading, now=now(), pupils=pupils, among=[tank_id])
    board.keep(database(), found.fresh)
    return next(iter(found.lines), None)


def sign_in(session_token: str) -> None:
    """Let this browser hold a session from now on; what an older one left is forgotten."""
    scanned = session.get(SCANNED)
    session.clear()
    session[SESSION_TOKEN] = session_token
    if scanned is not None:
        session[SCANNED] = scanned
    session.permanent = True
    g.pop("visitor", None)


def forget() -> None:
    """Take the session from this browser."""
    session.clear()
    g.visitor = None


def _look_up() -> Visitor | None:
    token = session.get(SESSION_TOKEN)
    if not isinstance(token, str):
        return None
    with parts().database.reading() as reading:
        found = sign_ins.visitor_of(reading, token, now=now())
    if found is not None and found.last_day != now().date():
        _keep_seen(found)
    return found


def _keep_seen(found: Visitor) -> None:
    """Keep the day of use, unless somebody writes just now: then the next request does."""
    try:
        with parts().database.writing_if_free() as writing:
            if writing is not None:
                sign_ins.see(writing, found, now=now())
    except DBAPIError:
        _LOG.warning("the day of use could not be kept", exc_info=True)


def register(app: Flask) -> None:
    """Read requests as `PlainRequest`, and numbers in addresses as numbers of rows."""
    app.request_class = PlainRequest
    app.url_map.converters["int"] = IdConverter
    app.url_map.converters["day"] = DayConverter
