"""The menu as data, and the frame that layout.html draws around every page."""

from dataclasses import dataclass
from typing import Any

from flask import Flask, g, request, session, url_for
from sqlalchemy.orm import Session

from app.domain.errors import CannotRead
from app.domain.tank import Site
from app.services import tanks
from app.services.access.people import Visitor
from app.services.tanks import TankLine
from app.web import filters
from app.web.request import Standing, database, maybe_visitor
from app.web.rights import may_open, may_save
from app.web.where import LAST_TANK, places_here

Link = tuple[str, str, bool]

# label, endpoint, whether the page is of one tank
_FOUR = (
    ("Today", "today.today", True),
    ("Write down", "writing.choose", True),
    ("Charts", "charts.start", True),
    ("Words", "words.words", False),
)
_MORE = (
    ("To do", "todo.todo", True),
    ("Story", "story.story", True),
    ("Trouble", "trouble.start", True),
    ("Fish and plants", "livestock.overview", True),
    ("Water and kit", "tank.water", True),
    ("Look ahead", "ahead.overview", True),
    ("Work it out", "workings.choose", True),
    ("Bring in readings", "exchange.choose", True),
    ("Class", "classes.home", False),
    ("Share and print", "share.overview", True),
    ("All tanks", "many.tanks", False),
    ("Settings", "settings.site", False),
    ("Numbers", "numbers.numbers", False),
    ("This device", "access.device", False),
)
_PLACES = tuple(item[1] for item in _FOUR + _MORE)
# of several places in one blueprint, the first stands for its other pages
_FIRST_OF = {place.partition(".")[0]: place for place in reversed(_PLACES)}
# blueprints without a place of their own, and the one that they belong to
_FIRST_OF |= dict.fromkeys(("plants", "ideas"), "livestock.overview") | {
    "course": "tank.water",
    "papers": "share.overview",
    "lessons": "classes.home",
    "notebook": "story.story",
}
# pages that are reached from another place than the first of their blueprint
_REACHED_FROM = dict.fromkeys(
    ("access.people", "access.invite", "access.person", "access.devices"), "settings.site"
) | {"exchange.take": "share.overview", "exchange.whole": "many.tanks"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shell:
    """What the frame of a page shows: where we are, how the tank is, where one can go.

    On a page of one of several places, `place_id` is that one of `places`, and `place_url` the
    address of the page without it.
    """

    site_name: str = "Sillpond"
    tank: TankLine | None = None
    state: str | None = None
    state_word: str = ""
    state_line: str = ""
    nav: tuple[Link, ...] = ()
    more: tuple[Link, ...] = ()
    help_url: str = "/words"
    is_adult: bool = False
    zone_words: str = ""
    places: tuple[Site, ...] = ()
    place_id: int | None = None
    place_url: str = ""
    signed_in: bool = False
    only_reads: bool = False


def _links(items: tuple[tuple[str, str, bool], ...], tank_id: int | None) -> tuple[Link, ...]:
    found = []
    for label, endpoint, of_tank in items:
        if may_open(endpoint) and not (of_tank and tank_id is None):
            url = url_for(endpoint, tank_id=tank_id) if of_tank else url_for(endpoint)
            found.append((label, url, _is_here(endpoint)))
    return tuple(found)


def _is_here(endpoint: str) -> bool:
    """Whether the open page is this one, or belongs to it and has no place of its own."""
    if request.endpoint in _PLACES:
        return request.endpoint == endpoint
    if request.endpoint in _REACHED_FROM:
        return endpoint == _REACHED_FROM[request.endpoint]
    return _FIRST_OF.get(request.blueprint or "") == endpoint


def _current(reading: Session, visitor: Visitor) -> tuple[TankLine | None, TankLine | None]:
    """The tank of this page, and the tank that the menu leads to."""
    asked, last = (request.view_args or {}).get("tank_id"), session.get(LAST_TANK)
    line = tanks.menu_line(reading, visitor.tank_ids, here=asked, before=last)
    if line is None or line.id != asked:
        return None, line
    if last != asked:
        session[LAST_TANK] = asked
    return line, line


def _line_for(visitor: Visitor, standing: Standing) -> str:
    return standing.state_line if visitor.is_adult else standing.child_line


def _frame(reading: Session, standing: Standing | None) -> Shell:
    visitor = maybe_visitor()
    if visitor is None:
        return Shell(help_url=url_for("words.words"))
    tank, line = _current(reading, visitor)
    menu_id = line.id if line else None
    # a page of a tank has its place beside it, in no statement of its own
    places = places_here(reading) if "place" in g or line is None else ()
    named = next((p for p in places if p.id == g.get("place")), places[0] if places else None)
    if named is None and line is None:
        return Shell(help_url=url_for("words.words"), is_adult=visitor.is_adult, signed_in=True)
    return Shell(
        site_name=named.name if named else line.where if line else "",
        tank=tank,
        state=standing.state.value if standing else None,
        state_word=standing.state.word if standing else "",
        state_line=_line_for(visitor, standing) if standing else "",
        nav=_links(_FOUR, menu_id),
        more=_links(_MORE, menu_id) if visitor.is_adult else (),
        help_url=url_for("words.words"),
        is_adult=visitor.is_adult,
        zone_words=filters.place(named.zone if named else line.zone if line else ""),
        places=places,
        place_id=g.get("place"),
        place_url=request.path,
        signed_in=True,
        only_reads=may_open(here := request.endpoint or "") and not may_save(here),
    )


def shell() -> Shell:
    """The frame of the page that is being rendered."""
    if g.get("bare_shell") or not request:
        return Shell()
    try:
        standing = g.standing() if "standing" in g else None
        with database().reading() as reading:
            return _frame(reading, standing)
    except CannotRead:
        # the page may have come this far, or it is the one that says so
        return Shell()


def register(app: Flask) -> None:
    """Give every template its `shell`."""

    @app.context_processor
    def _shell() -> dict[str, Any]:
        return {"shell": shell()}
