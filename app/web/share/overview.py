"""Share and print of one tank: its links, its papers, and ending a link with one tap."""

from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from app.domain.calendar import local_day
from app.domain.tank import Tank
from app.domain.wording import dated
from app.services import entries, tanks
from app.services.sharing import links
from app.services.sharing.links import Link, LinkKind
from app.web.fields import PageForm
from app.web.papers.registry import PAPERS, Paper
from app.web.request import database, now
from app.web.share import bp
from app.web.share.making import only_here

KIND_WORDS: Final = {
    LinkKind.FAMILY: "Families",
    LinkKind.SITTER: "Sitter",
    LinkKind.CALENDAR: "Calendar",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkRow:
    """A link in the list; `end_url` is empty for one that is over, `stay_url` for others' kinds."""

    label: str
    kind: str
    days: str
    used: str
    status: str
    end_url: str
    stay_url: str


@dataclass(frozen=True, slots=True)
class PaperLink:
    """A paper: where it is, what it is called, whom it is for."""

    url: str
    title: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SharePage:
    """What is shared of a tank, and what can be printed."""

    tank: Tank
    open_links: tuple[LinkRow, ...]
    old_links: tuple[LinkRow, ...]
    papers: tuple[PaperLink, ...]
    only_here: bool
    form: PageForm


@bp.get("/tank/<int:tank_id>/share")
def overview(tank_id: int) -> ResponseReturnValue:
    """Links and papers of a tank."""
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
        found = links.links_of(session, tank_id)
        today = local_day(now(), entries.zone_of(session, tank_id))
    rows = [(_row(link, today), link) for link in found]
    page = SharePage(
        tank=tank,
        open_links=tuple(row for row, link in rows if not _is_over(link, today)),
        old_links=tuple(row for row, link in rows if _is_over(link, today)),
        papers=_papers(tank_id),
        only_here=only_here(),
        form=PageForm(),
    )
    return render_template("share/overview.html", page=page)


@bp.post("/tank/<int:tank_id>/share/links/<int:link_id>/end")
def end_link(tank_id: int, link_id: int) -> ResponseReturnValue:
    """End a link at once."""
    with database().writing() as session:
        links.end(session, tank_id, link_id, now=now())
    flash("The link is closed.", "saved")
    return redirect(url_for("share.overview", tank_id=tank_id), 303)


def _is_over(link: Link, today: date) -> bool:
    return link.ended_at is not None or (link.last_day is not None and link.last_day < today)


def _row(link: Link, today: date) -> LinkRow:
    over = _is_over(link, today)
    where: dict[str, Any] = {"tank_id": link.tank_id, "link_id": link.id}
    return LinkRow(
        label=link.label or "No name",
        kind=KIND_WORDS[link.kind],
        days=_days(link),
        used=dated(link.last_used_on) if link.last_used_on else "never",
        status=_status(link, today),
        end_url="" if over else url_for("share.end_link", **where),
        stay_url=url_for("share.stay", **where) if link.kind is LinkKind.SITTER else "",
    )


def _days(link: Link) -> str:
    ends = [dated(day) for day in (link.first_day, link.last_day) if day]
    return " to ".join(ends) or "no last day"


def _status(link: Link, today: date) -> str:
    if link.ended_at is not None:
        return "closed by you"
    if link.last_day is not None and link.last_day < today:
        return "over"
    if link.first_day is not None and link.first_day > today:
        return "not yet open"
    return "open"


def _papers(tank_id: int) -> tuple[PaperLink, ...]:
    label = Paper(
        "share.label", "Tank label", "For a technician", "Name, liters and a code to scan."
    )
    return tuple(
        PaperLink(
            url_for(paper.endpoint, tank_id=tank_id), paper.title, f"{paper.whom}. {paper.line}"
        )
        for paper in (*PAPERS, label)
    )
