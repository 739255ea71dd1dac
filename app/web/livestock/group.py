"""One group: how they came, what happened to them, who is left, how they grew."""

from dataclasses import dataclass

from flask import render_template, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from app.charts.life_size import ruler_cm
from app.domain.entry_words import STOCK_WORDS
from app.domain.errors import NotFound
from app.domain.records import StockEvent
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Tank
from app.domain.wording import count, length_text
from app.knowledge.model import Knowledge
from app.services import own_species, tanks, tasks
from app.services.livestock.life import GroupLife, LifeTable, lives
from app.web.livestock import bp
from app.web.livestock.pages import arrival_row, dated, facts_of, outlines_of, picture
from app.web.request import database, now, show_state, visitor

MOST_EVENTS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class TableShown:
    """What became of one batch: rows of days, how many are here, lost, gone, and a bar."""

    title: str
    rows: tuple[tuple[str, str, str, str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EventRow:
    """One line of the ledger, with the address of its entry."""

    day: str
    what: str
    note: str
    by: str
    url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupPage:
    """All that is written of one group. `growth` are day, how many were measured, length."""

    tank: Tank
    group_id: int
    name: str
    second: str
    outlines: Markup
    svg: Markup
    facts: tuple[tuple[str, str], ...]
    arrivals: tuple[tuple[str, ...], ...]
    tables: tuple[TableShown, ...]
    unplaced: str
    growth: tuple[tuple[str, str, str], ...]
    events: tuple[EventRow, ...]
    older: int
    may_move: bool


@bp.get("/tank/<int:tank_id>/animals/<int:group_id>")
def group(tank_id: int, group_id: int) -> ResponseReturnValue:
    """The page of one group."""
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now())[tank_id]
        knowledge = own_species.known(session, snapshot.site.id)
        others = len(tanks.tank_lines(session, visitor().tank_ids)) > 1
    life = next((x for x in lives(snapshot, knowledge) if x.group.id == group_id), None)
    if life is None:
        raise NotFound("There is no such group in this tank.")
    show_state(seen)
    page = group_page(life, snapshot, knowledge, others=others)
    return render_template("livestock/group.html", page=page)


def group_page(
    life: GroupLife, snapshot: TankSnapshot, knowledge: Knowledge, *, others: bool
) -> GroupPage:
    """The page from the life of the group; `others` when there are more tanks."""
    herd, site = life.group, snapshot.site
    species = knowledge.species.get(herd.species)
    return GroupPage(
        tank=snapshot.tank,
        group_id=herd.id,
        name=herd.name,
        second=species.scientific_name if species else "",
        outlines=outlines_of([herd], knowledge),
        svg=picture(herd, species, ruler_cm(herd.adult_cm or 0.0)),
        facts=facts_of(life, site),
        arrivals=tuple(arrival_row(a, site)[1:] for a in life.arrivals),
        tables=tuple(_table(t) for t in life.tables),
        unplaced=_unplaced(life.unplaced),
        growth=tuple(
            (dated(e.local_day), str(e.count), length_text(site, e.length_cm or 0.0))
            for e in life.measured
        ),
        events=tuple(_event(e, snapshot) for e in life.events[:MOST_EVENTS]),
        older=max(0, len(life.events) - MOST_EVENTS),
        may_move=others and herd.count > 0,
    )


def _table(table: LifeTable) -> TableShown:
    rows = tuple(
        (
            count(row.days, "day", "days"),
            str(row.here),
            str(row.lost) if row.lost else "–",
            str(row.gone) if row.gone else "–",
            f"{100.0 * min(row.here, table.came) / table.came:.1f}%",
        )
        for row in table.rows
    )
    came = count(table.came, "animal", "animals")
    return TableShown(title=f"{table.label}: {came}, {dated(table.came_on)}", rows=rows)


def _unplaced(lost: int) -> str:
    if not lost:
        return ""
    said = count(lost, "animal that died or left is", "animals that died or left are")
    return f"{said} of no batch, and in none of these tables."


def _event(event: StockEvent, snapshot: TankSnapshot) -> EventRow:
    batch = next((b.label or b.source for b in snapshot.batches if b.id == event.batch_id), "")
    parts = [f"{event.count} {STOCK_WORDS[event.what]}"]
    if event.length_cm is not None:
        parts.append(length_text(snapshot.site, event.length_cm))
    if batch:
        parts.append(f"batch {batch}")
    if event.hidden:
        parts.append("pupils are not told yet")
    return EventRow(
        day=dated(event.local_day),
        what=", ".join(parts),
        note=event.note,
        by=event.hands,
        url=url_for("story.entry", tank_id=snapshot.tank.id, entry_id=event.id),
    )
