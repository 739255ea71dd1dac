"""The time that a file covers, as both pages tell it that bring a file in."""

from datetime import datetime

from app.domain.calendar import local_day
from app.domain.tank import Site, Tank
from app.domain.wording import clock


def dated(at: datetime, site: Site) -> str:
    """A moment with its year: a table goes back for years, a logger's clock may be years off."""
    return f"{local_day(at, site.zone)}, {clock(at, site.zone)}"


def span_lines(first: datetime, last: datetime, tank: Tank, site: Site) -> list[tuple[str, str]]:
    """The first and the last moment, and a word where the tank was not there yet at the first."""
    lines = [("First", dated(first, site)), ("Last", dated(last, site))]
    started = tank.started_on
    if started is not None and local_day(first, site.zone) < started:
        lines.append(("Older than this tank", f"It was started on {started}."))
    return lines
