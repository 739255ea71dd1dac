"""The menu as data, and the frame that layout.html draws around every page."""

from dataclasses import dataclass
from typing import Any

from flask import Flask, g, request, session, url_for
from sqlalchemy.orm import Session

from app.domain.errors import NotFound
from app.rules.model import Evaluation
from app.services import sites, tanks
from app.services.people import Visitor
from app.services.tanks import TankLine
from app.web import filters
from app.web.request import database, maybe_visitor
from app.web.rights import may_open

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
    ("All tanks", "access.tanks", False),
    ("Settings", "settings.site", False),
    ("Numbers", "numbers.numbers", False),
    ("This device", "access.device", False),
)
_PLACES = tuple(item[1] for item in _FOUR + _MORE)
# of several places in one blueprint, the first stands for its other pages
_FIRST_OF = {place.partition(".")[0]: place for place in reversed(_PLACES)}
# blueprints without a place of their own, and the one that they belong to
_FIRST_OF |= dict.fromkeys(("plants", "ideas"), "livestock.overview") | {"course": "tank.water"}
_LAST_TANK = "tank"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shell:
    """What the frame of a page shows: where we are, how the tank is, where one can go."""

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
    signed_in: bool = False


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
    return _FIRST_OF.get(request.blueprint or "") == endpoint


def _current(lines: tuple[TankLine, ...]) -> tuple[TankLine | None, int | None]:
    """The tank of this page, and the tank that the menu leads to."""
    by_id = {line.id: line for line in lines}
    asked = (request.view_args or {}).get("tank_id")
    if asked in by_id:
        if session.get(_LAST_TANK) != asked:
            session[_LAST_TANK] = asked
        return by_id[asked], asked
    last = session.get(_LAST_TANK)
    if last in by_id:
        return None, last
    return None, lines[0].id if lines else None


def _line_for(visitor: Visitor, evaluation: Evaluation) -> str:
    return evaluation.state_line if visitor.is_adult else evaluation.child_line


def _frame(reading: Session) -> Shell:
    visitor = maybe_visitor()
    if visitor is None:
        return Shell(help_url=url_for("words.words"))
    try:
        site = sites.without_days(reading)
    except NotFound:
        return Shell(help_url=url_for("words.words"), is_adult=visitor.is_adult, signed_in=True)
    tank, menu_id = _current(tanks.tank_lines(reading))
    evaluation: Evaluation | None = g.get("evaluation")
    return Shell(
        site_name=site.name,
        tank=tank,
        state=evaluation.state.value if evaluation else None,
        state_word=evaluation.state.word if evaluation else "",
        state_line=_line_for(visitor, evaluation) if evaluation else "",
        nav=_links(_FOUR, menu_id),
        more=_links(_MORE, menu_id) if visitor.is_adult else (),
        help_url=url_for("words.words"),
        is_adult=visitor.is_adult,
        zone_words=filters.place(site.zone),
        signed_in=True,
    )


def shell() -> Shell:
    """The frame of the page that is being rendered."""
    if g.get("bare_shell") or not request:
        return Shell()
    with database().reading() as reading:
        return _frame(reading)


def register(app: Flask) -> None:
    """Give every template its `shell`."""

    @app.context_processor
    def _shell() -> dict[str, Any]:
        return {"shell": shell()}
