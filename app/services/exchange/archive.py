"""The archive: a tank's story, tables and charts as pages that open without this program.

Pages point to files beside them only, hold no script, and show helpers by number. The data
package lies inside, so that a record can begin again from it.
"""

import tempfile
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import IO, Any, Final

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from sqlalchemy import select
from sqlalchemy.orm import Session

from app import resources
from app.charts.days import day_words
from app.domain.calendar import local_day
from app.domain.measures import net_volume
from app.domain.quantities import FACTS
from app.domain.wording import clock, count, dated, volume_text
from app.services import story, tanks, trends
from app.services.exchange import health, measurements, package, tables
from app.services.exchange.codes import Codes, codes_of
from app.services.exchange.stretch import ALL
from app.services.exchange.zips import Packing
from app.services.story import StoryLine
from app.storage import snapshot
from app.storage.base import Base
from app.storage.file import Progress, no_progress

# the sheets of the pages that the archive's are made of, in the order of the layout
_SHEETS: Final = (
    "values", "base", "shell", "water", "tasks", "readings", "story", "drawings", "notes",
    "sheets", "modes",
)  # fmt: skip
_MARK: Final = "\ufeff"
_LINES_AT_ONCE: Final = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class _Page:
    """What stands on every page. `up` leads to the folder of the archive."""

    title: str
    where: str
    made: str
    up: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Index(_Page):
    """The first page."""

    tanks: tuple[dict[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Chart:
    """A chart with its words and its table."""

    name: str
    svg: Markup
    finding: str
    detail: str
    keys: tuple[tuple[str, str], ...]
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _TankPage(_Page):
    """One tank."""

    facts: tuple[tuple[str, str], ...]
    animals: tuple[tuple[str, ...], ...]
    plants: tuple[str, ...]
    years: tuple[tuple[str, str], ...]
    health: tuple[tuple[str, str], ...]
    charts: tuple[_Chart, ...]
    photos: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _StoryPage(_Page):
    """The entries of one year."""

    rows: tuple[tuple[str, ...], ...]


def write(
    session: Session,
    target: IO[bytes],
    *,
    tank_id: int | None = None,
    now: datetime,
    progress: Progress = no_progress,
) -> None:
    """Write the archive of one tank, or of all, as a ZIP file.

    Args:
        session: A reading session without tiles' names, in which nothing was read yet.
        target: Where the bytes go.
        tank_id: The tank; None for all, closed ones too.
        now: The present moment.
        progress: Called with (tanks done, tanks in all).

    Raises:
        NotFound: If there is no such tank.
    """
    package.hold_moment(session)
    lines = (*tanks.tank_lines(session), *tanks.closed_lines(session))
    if tank_id is not None:
        tanks.tank(session, tank_id)
        lines = tuple(line for line in lines if line.id == tank_id)
    codes, made = codes_of(session), dated(now.date())
    listed = []
    with Packing(target) as packing:
        for done, line in enumerate(lines):
            progress(done, len(lines))
            listed.append(_tank(session, packing, line, codes, now))
        index = _Index(
            title="Archive", where="A record of fresh water", made=made, up="", tanks=tuple(listed)
        )
        packing.add("index.html", _page("_index", index))
        packing.add("look.css", _look())
        _add_lines(packing, "measurements.csv", measurements.export_csv(session, tank_id))
        _add_lines(packing, "codebook.csv", measurements.codebook_csv())
        _add_package(session, packing, tank_id, now)
    progress(len(lines), len(lines))


def _add_lines(packing: Packing, name: str, lines: Iterator[str]) -> None:
    with packing.file(name) as file:
        file.write(_MARK.encode())
        for line in lines:
            file.write(line.encode())


def _add_package(session: Session, packing: Packing, tank_id: int | None, now: datetime) -> None:
    with tempfile.TemporaryFile() as inner:
        package.write(session, inner, tank_id=tank_id, now=now)
        inner.seek(0)
        with packing.file("data-package.zip", compress=False) as file:
            while chunk := inner.read(1024 * 1024):
                file.write(chunk)


def _tank(
    session: Session, packing: Packing, line: tanks.TankLine, codes: Codes, now: datetime
) -> dict[str, str]:
    """Write the pages of one tank; returns its line of the first page."""
    folder = f"tank-{line.id}"
    frame = {"where": line.where, "made": dated(local_day(now, line.zone)), "up": "../"}
    years = _story(session, packing, line, codes, frame)
    (found,) = snapshot.load(session, [line.id], now)
    facts = _facts(found)
    page = _TankPage(
        title=line.name,
        **frame,
        facts=facts,
        animals=tuple(
            (group.name, str(group.count), group.species or "not said") for group in found.groups
        ),
        plants=tuple(plant.name for plant in found.plants),
        years=years,
        health=tuple((n.label, n.text) for n in health.notes(session, line.id, ALL)),
        charts=_charts(session, line.id, now),
        photos=_photos(session, packing, line, codes),
    )
    packing.add(f"{folder}/index.html", _page("_tank", page))
    return {"url": f"{folder}/index.html", "name": line.name, "line": line.where}


def _facts(found: Any) -> tuple[tuple[str, str], ...]:
    tank, site = found.tank, found.site
    volume = net_volume(tank.shape)
    return (
        ("Water in it", volume_text(site, volume.net_l) if volume else "not measured"),
        ("Started", dated(tank.started_on) if tank.started_on else "not written"),
        ("Filter grown", dated(tank.mature_on) if tank.mature_on else "not written"),
        ("Closed", dated(tank.closed_on) if tank.closed_on else "no"),
        ("Grown-up in charge", tank.adult or "nobody is named"),
        ("Deputy", tank.deputy or "nobody is named"),
        ("Time zone", site.zone),
    )


def _story(
    session: Session, packing: Packing, line: tanks.TankLine, codes: Codes, frame: dict[str, str]
) -> tuple[tuple[str, str], ...]:
    """Write a page for each year; returns their names and addresses, the newest first."""
    by_year: dict[int, list[tuple[str, ...]]] = defaultdict(list)
    before = None
    while True:
        found = story.story(session, line.id, before=before, limit=_LINES_AT_ONCE)
        for each in found.lines:
            by_year[each.local_day.year].append(_row(each, line.zone, codes))
        session.expunge_all()
        before = found.older
        if before is None:
            break
    years = []
    for year, rows in sorted(by_year.items(), reverse=True):
        title = f"{line.name}, {year}"
        page = _StoryPage(title=title, **frame, rows=tuple(reversed(rows)))
        packing.add(f"tank-{line.id}/story-{year}.html", _page("_story", page))
        years.append((f"{year}: {count(len(rows), 'entry', 'entries')}", f"story-{year}.html"))
    return tuple(years)


def _row(line: StoryLine, zone: str, codes: Codes) -> tuple[str, ...]:
    remarks = []
    if line.replaced_by is not None:
        remarks.append("fixed later")
    if line.taken_back:
        remarks.append("taken back")
    if line.replaces_id is not None:
        remarks.append("a correction")
    if line.reason:
        remarks.append(line.reason)
    if line.added_later:
        remarks.append("added later")
    cells = (
        day_words(line.local_day),
        clock(line.happened_at, zone),
        line.title,
        " · ".join(line.lines),
        codes.name(line.hands_id, line.hands),
        ", ".join(remarks),
    )
    return tuple(codes.text(cell) for cell in cells)


def _charts(session: Session, tank_id: int, now: datetime) -> tuple[_Chart, ...]:
    made = []
    for quantity in trends.measured(session, tank_id):
        chart = trends.chart(session, tank_id, quantity, None, now=now)
        made.append(
            _Chart(
                name=FACTS[quantity].label,
                svg=Markup(chart.svg),  # noqa: S704  # drawn and cleaned here
                finding=chart.words.finding,
                detail=chart.words.detail,
                keys=chart.words.keys,
                columns=chart.words.columns,
                rows=chart.words.rows,
            )
        )
    return tuple(made)


def _photos(
    session: Session, packing: Packing, line: tanks.TankLine, codes: Codes
) -> tuple[tuple[str, str], ...]:
    """Write the photos that everybody may see; returns their names and addresses."""
    photo = Base.metadata.tables["photo"]
    rows = tables.rows(photo, line.id).subquery()
    found = []
    for row in session.execute(select(rows).order_by(rows.c.taken_at, rows.c.id)).all():
        content = session.scalar(select(photo.c.picture).where(photo.c.id == row.id))
        if content is not None:
            name = f"photo-{row.id}.jpg"
            packing.add(f"tank-{line.id}/{name}", content, compress=False)
            words = codes.text(row.caption or row.spot or "photo")
            found.append((f"{dated(local_day(row.taken_at, line.zone))}: {words}", name))
    return tuple(found)


@cache
def _templates() -> Environment:
    return Environment(
        loader=FileSystemLoader(resources.templates()),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _page(name: str, page: _Page) -> bytes:
    return _templates().get_template(f"archive/{name}.html").render(page=page).encode()


def _look() -> bytes:
    """The one style sheet of the archive."""
    folder = resources.static() / "css"
    sheets = (folder / f"{name}.css" for name in _SHEETS)
    return "\n".join(sheet.read_text("utf-8") for sheet in sheets).encode()
