"""Which household or school a page is of that belongs to no single tank."""

from typing import Any

from flask import Flask, g, session
from sqlalchemy.orm import Session

from app.domain.errors import NotFound
from app.domain.tank import Site
from app.services import sites, tanks
from app.web.request import id_arg, maybe_visitor

LAST_TANK = "tank"
"""Where the browser's cookie keeps the tank that was looked at last."""

# pages of one place: a whole blueprint by its name, or one page by its endpoint
_OF_A_PLACE = frozenset(
    {"settings", "tank.new", "livestock.own", "livestock.change_own", "livestock.remove_own"}
)


def place_of_page(reading: Session) -> Site:
    """The place that the address names, else that of the tank last seen, else the first.

    While the page is made, links to other pages of a place lead to those of this one.

    Raises:
        NotFound: If the record is empty, or whoever is here has nothing to do with the place.
    """
    known = {place.id: place for place in places_here(reading)}
    asked = id_arg("place")
    if asked is None and len(known) > 1:
        asked = _of_last_tank(reading)
    found = next(iter(known.values()), None) if asked is None else known.get(asked)
    if found is None:
        raise NotFound("There is no such household or school.")
    if len(known) > 1:
        g.place = found.id
    return found


def places_here(reading: Session) -> tuple[Site, ...]:
    """The places that whoever is here has to do with: those of their tanks, or all."""
    found, there = maybe_visitor(), sites.places(reading)
    if found is None or found.tank_ids is None:
        return there
    theirs = {line.site_id for line in tanks.tank_lines(reading, found.tank_ids)}
    return tuple(place for place in there if place.id in theirs)


def _of_last_tank(reading: Session) -> int | None:
    last = session.get(LAST_TANK)
    return next((t.site_id for t in tanks.tank_lines(reading) if t.id == last), None)


def _keep_place(endpoint: str, values: dict[str, Any]) -> None:
    of_a_place = endpoint in _OF_A_PLACE or endpoint.partition(".")[0] in _OF_A_PLACE
    if of_a_place and "place" in g:
        values.setdefault("place", g.place)


def register(app: Flask) -> None:
    """Let links between the pages of a place stay in it."""
    app.url_defaults(_keep_place)
