"""Technician rounds: the list, and the sheet of one to take along."""

from dataclasses import dataclass
from datetime import date

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.domain.calendar import local_day
from app.domain.wording import count
from app.services import rounds as service
from app.services.rounds import RoundStop
from app.web.many import bp
from app.web.request import database, id_from, now, visitor

_LONGEST = 40
# tanks of a page, so that none passes 60 KB
_ROWS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundsPage:
    """All rounds as (name, how many tanks, address)."""

    rounds: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundPage:
    """One round: its name, its day, and its stops by household or school."""

    name: str
    day: date
    places: tuple[tuple[str, tuple[RoundStop, ...]], ...]
    due: str
    before_url: str
    after_url: str


@bp.get("/rounds")
def rounds() -> ResponseReturnValue:
    """The rounds; with one named in the address, its sheet."""
    name, among = request.args.get("round", "").strip()[:_LONGEST], visitor().tank_ids
    with database().reading() as session:
        if not name:
            found = service.rounds(session, among=among)
            page = RoundsPage(
                rounds=tuple(
                    (each.name, count(each.tanks, "tank", "tanks"), _url(each.name))
                    for each in found
                )
            )
            return render_template("many/rounds.html", page=page)
        stops = service.stops(session, name, now=now(), among=among)
    return render_template("many/round.html", page=_page(stops))


def _page(stops: tuple[RoundStop, ...]) -> RoundPage:
    start = min(id_from(request.args.get("start", "")) or 0, len(stops) - 1)
    shown = stops[start : start + _ROWS]
    names = dict.fromkeys(stop.place.site_name for stop in shown)
    due = sum(bool(stop.tasks) for stop in stops)
    name = stops[0].place.round
    return RoundPage(
        name=name,
        day=local_day(now(), stops[0].place.zone),
        places=tuple(
            (where, tuple(s for s in shown if s.place.site_name == where)) for where in names
        ),
        due=f"{due} of {count(len(stops), 'tank has', 'tanks have')} something due.",
        before_url=_url(name, max(start - _ROWS, 0)) if start else "",
        after_url=_url(name, start + _ROWS) if start + _ROWS < len(stops) else "",
    )


def _url(name: str, start: int | None = None) -> str:
    return url_for("many.rounds", round=name, start=start)
