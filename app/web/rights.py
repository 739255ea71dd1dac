"""Who may open what: one table for all pages, checked before any view runs."""

from typing import Final

from flask import Flask, abort, g, redirect, request, session, url_for
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session

from app.domain.errors import NotFound
from app.domain.people import Role
from app.services import tanks
from app.web.errors import not_saved_yet
from app.web.request import SCANNED, database, maybe_visitor, own_tank
from app.web.where import place_of_page

Roles = frozenset[Role]

ANYBODY: Final[Roles] = frozenset(Role)
"""Whoever comes; a page behind a link looks at the link itself."""
SIGNED_IN: Final[Roles] = ANYBODY - {Role.STRANGER}
ADULTS: Final[Roles] = SIGNED_IN - {Role.HELPER}
CARERS: Final[Roles] = frozenset({Role.TECHNICIAN, Role.KEEPER})
"""Adults who do jobs, tests and equipment."""
WRITERS: Final[Roles] = CARERS | {Role.HELPER}
"""Who writes entries."""
PUPILS_AND_KEEPERS: Final[Roles] = frozenset({Role.HELPER, Role.KEEPER})
"""Who sees tiles with their nicknames."""
OVERSEERS: Final[Roles] = frozenset({Role.COORDINATOR, Role.KEEPER})
"""Who looks over several tanks."""
KEEPERS: Final[Roles] = frozenset({Role.KEEPER})
"""Who may see pupils' tiles, change what is known of a tank, share and hand over."""

_ONLY_LOOKS: Final = frozenset({"GET", "HEAD", "OPTIONS"})

# A page by its endpoint, or all pages of a blueprint by its name; the endpoint counts first.
# What stands in neither is refused to everybody, and a test walks the map of addresses.
RIGHTS: Final[dict[str, Roles]] = {
    "static": ANYBODY,
    "health": ANYBODY,
    # the token of each request says who asks, and what they may
    "api": ANYBODY,
    "access": KEEPERS,
    "access.home": ANYBODY,
    "access.use_link": ANYBODY,
    "access.use_passphrase": ANYBODY,
    "access.join": ANYBODY,
    "access.join_with": ANYBODY,
    "access.accept": ANYBODY,
    "access.me": ADULTS,
    "access.change_name": ADULTS,
    "access.change_passphrase": ADULTS,
    "access.sign_out_everywhere": ADULTS,
    "many": OVERSEERS,
    "many.tanks": SIGNED_IN,
    "many.rounds": ADULTS,
    "access.device": SIGNED_IN,
    "access.sign_out": ADULTS,
    "today": SIGNED_IN,
    "writing": WRITERS,
    "writing.sign": SIGNED_IN,
    "writing.catch_up": CARERS,
    "writing.animals": CARERS,
    "writing.ammonia": CARERS,
    "charts": SIGNED_IN,
    "ahead": ADULTS,
    "ahead.predict": PUPILS_AND_KEEPERS,
    "ahead.take_guess_back": PUPILS_AND_KEEPERS,
    "ahead.call_round_off": KEEPERS,
    "ahead.seen_to": CARERS,
    "workings": SIGNED_IN,
    "workings.work_by_adult": ADULTS,
    "words": ANYBODY,
    "numbers": ADULTS,
    "notebook": SIGNED_IN,
    "notebook.add_photo": WRITERS,
    "notebook.fix_photo": WRITERS,
    "notebook.date_photo": WRITERS,
    "notebook.take_back": WRITERS,
    "notebook.save_length": CARERS,
    "notebook.search": ADULTS,
    "notebook.waiting": KEEPERS,
    "notebook.decide_photo": KEEPERS,
    "notebook.decide_note": KEEPERS,
    "notebook.private": KEEPERS,
    "notebook.erase_private_note": KEEPERS,
    "todo": ADULTS,
    "story": ADULTS,
    "livestock": ADULTS,
    "livestock.add": KEEPERS,
    "livestock.arrive": KEEPERS,
    "livestock.change": KEEPERS,
    "livestock.move": KEEPERS,
    "ideas": ADULTS,
    "plants": ADULTS,
    "plants.done": CARERS,
    "tank": ADULTS,
    "tank.new": KEEPERS,
    "tank.compare": CARERS,
    "course": ADULTS,
    "course.like": KEEPERS,
    "trouble": ADULTS,
    "trouble.treatment": CARERS,
    "settings": ADULTS,
    "classes": KEEPERS,
    "settings.calendar": KEEPERS,
    "settings.new_place": KEEPERS,
    "settings.programs": KEEPERS,
    "settings.end_program": KEEPERS,
    "exchange": CARERS,
    "exchange.take": ADULTS,
    "exchange.measurements": ADULTS,
    "exchange.health_csv": ADULTS,
    "exchange.codebook": ADULTS,
    "exchange.tank_file": KEEPERS,
    "exchange.whole": OVERSEERS,
    "exchange.whole_file": KEEPERS,
    "exchange.open_csv": OVERSEERS,
    "papers": KEEPERS,
    "lessons": KEEPERS,
    "share": KEEPERS,
    "share.arrived": CARERS,
    "guest": ANYBODY,
    "papers.vet": ADULTS,
}

# Who may save on a page that more people may open, in the same way.
SAVES: Final[dict[str, Roles]] = {
    "ahead.predictions": KEEPERS,
    "todo": CARERS,
    "livestock": KEEPERS,
    "plants": CARERS,
    "tank": KEEPERS,
    "tank.scoop": CARERS,
    "tank.equipment": CARERS,
    "tank.change_equipment": CARERS,
    "tank.put_equipment_away": CARERS,
    "tank.use_equipment_again": CARERS,
    "tank.equipment_failed": CARERS,
    "tank.equipment_works": CARERS,
    "tank.kits": CARERS,
    "tank.kit": CARERS,
    "tank.put_kit_away": CARERS,
    "tank.use_kit_again": CARERS,
    "tank.compare": CARERS,
    "tank.strike_comparison": CARERS,
    "tank.supplies": CARERS,
    "tank.supply": CARERS,
    "tank.count_supply": CARERS,
    "tank.remove_supply": CARERS,
    "course": KEEPERS,
    "trouble": CARERS,
    "settings": KEEPERS,
    "settings.reminders": ADULTS,
    "settings.end_reminders": ADULTS,
}

# What changes more than the tanks that somebody looks after: for those who have all of them.
ALL_TANKS: Final = frozenset(
    {"tank.new", "course.like", "settings.new_place", "exchange.whole_file"}
)


# What holds for all tanks of a place: to save there takes having all of them.
WHOLE_PLACE: Final = frozenset(
    {
        "settings.site", "settings.breaks", "settings.strike_days", "settings.calendar",
        "settings.setbacks", "settings.strike_setback", "settings.tap", "settings.own_rules",
        "livestock.own", "livestock.change_own", "livestock.remove_own",
    }
)  # fmt: skip


def _declared(table: dict[str, Roles], endpoint: str) -> Roles | None:
    return table.get(endpoint, table.get(endpoint.split(".", maxsplit=1)[0]))


def roles_of(endpoint: str, *, saves: bool = False) -> Roles | None:
    """Who may open the page, or save on it; None when nobody declared it."""
    roles = _declared(RIGHTS, endpoint)
    savers = _declared(SAVES, endpoint) if saves else None
    return roles if roles is None or savers is None else roles & savers


def may_open(endpoint: str) -> bool:
    """Whether this browser may open the page."""
    return _may(endpoint, saves=False)


def may_save(endpoint: str) -> bool:
    """Whether this browser may send the forms of the page."""
    return _may(endpoint, saves=True)


def _may(endpoint: str, *, saves: bool) -> bool:
    roles = roles_of(endpoint, saves=saves)
    if roles is None or roles is ANYBODY:
        return roles is not None
    found = maybe_visitor()
    if found is None or found.role not in roles:
        return False
    if found.tank_ids is None:
        return True
    if endpoint in ALL_TANKS:
        return False
    return not saves or endpoint not in WHOLE_PLACE or _has_place_of_page(found.tank_ids)


def _has_place_of_page(tank_ids: frozenset[int]) -> bool:
    """Whether all tanks of the place that the page is of are among these."""
    if "has_place" not in g:
        with database().reading() as reading:
            g.has_place = _has_place(reading, tank_ids)
    return bool(g.has_place)


def _has_place(reading: Session, tank_ids: frozenset[int]) -> bool:
    try:
        here = place_of_page(reading).id
    except NotFound:
        return False
    lines = tanks.tank_lines(reading)
    return all(line.id in tank_ids for line in lines if line.site_id == here)


def _check() -> ResponseReturnValue | None:
    if request.endpoint is None:
        return None
    if _may(request.endpoint, saves=request.method not in _ONLY_LOOKS):
        values = request.view_args or {}
        if "tank_id" in values:
            own_tank(values["tank_id"])
        return None
    if maybe_visitor() is not None or roles_of(request.endpoint) is None:
        abort(403)
    if request.method == "POST":
        return not_saved_yet()
    if request.endpoint == "share.arrived":
        session[SCANNED] = (request.view_args or {}).get("tank_id")
    return redirect(url_for("access.home"), code=303)


def register(app: Flask) -> None:
    """Check the rights of every request; templates may ask for them too."""
    app.before_request(_check)
    app.jinja_env.globals.update(may_open=may_open, may_save=may_save)
