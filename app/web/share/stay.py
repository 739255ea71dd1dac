"""A sitter's stay: the plan with its link, what came through it, its sheet and packet labels."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from flask import render_template, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup
from wtforms import StringField
from wtforms.validators import Length

from app.domain.calendar import local_day
from app.domain.errors import NotFound, Refused
from app.domain.quantities import Quantity
from app.domain.sitter import Packet, Rhythm, amount_text, label_text, packets_text, total_grams
from app.domain.tank import Tank
from app.domain.wording import clock, decimal, full_day, listed, with_unit
from app.knowledge.load import load
from app.services import tanks, tasks
from app.services.sharing import links, sitter, sitter_sheet
from app.services.sharing.link_days import stay_days
from app.services.sharing.links import Link, LinkKind
from app.services.sharing.sitter import NewStay
from app.services.sharing.sitter_sheet import Sheet
from app.web.fields import WEEKDAYS, ChoiceField, NumberField, plain
from app.web.request import database, now, visitor
from app.web.share import bp
from app.web.share.family import LinkForm
from app.web.share.making import link_token, made_page

RHYTHMS = {
    Rhythm.SECOND.value: "Every second day, from day 2 on",
    Rhythm.EVERY_DAY.value: "Every day",
    Rhythm.PLAN.value: "On the weekdays of this tank’s plan",
    Rhythm.CHOSEN.value: "On days that you choose",
}
_MOST_SCOOPS = 50


class StayForm(LinkForm):
    """A sitter's days, and the food in its packets."""

    rhythm = ChoiceField(
        "Food", noun="on which days food goes in", choices=RHYTHMS, default=Rhythm.SECOND.value
    )
    chosen = StringField(
        "Days with food",
        [Length(max=120, message="Use 120 letters at most.")],
        description="Only for days that you choose: their numbers, such as 2, 5, 8.",
    )
    scoops = NumberField(
        "Scoops in one packet", noun="the scoops of one packet", low=0.1, high=_MOST_SCOOPS,
        required=True,
    )  # fmt: skip

    def new_stay(self) -> NewStay | None:
        """The stay, or None with a sentence beside the field; validate it first."""
        numbers = self.text("chosen").replace(",", " ").split()
        if not all(n.isascii() and n.isdigit() and len(n) < 4 for n in numbers):
            self.complain("chosen", "Write numbers of days, such as 2, 5, 8.")
        first, last = self.first_day.data, self.last_day.data
        if self.errors or first is None or last is None:
            return None
        is_chosen = self.rhythm.data == Rhythm.CHOSEN.value
        return NewStay(
            label=self.text("label"),
            first_day=first,
            last_day=last,
            rhythm=Rhythm(self.rhythm.data),
            scoops=self.scoops.number or 1.0,
            chosen=tuple(int(n) for n in numbers) if is_chosen else (),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class NewStayPage:
    """The form for a sitter's link; `scoop` and `plan` say what is known of food."""

    tank: Tank
    form: StayForm
    scoop: str
    plan: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PacketRow:
    """A packet and whether it went in."""

    number: int
    text: str
    given: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StayPage:
    """A sitter's link as its adult sees it."""

    tank: Tank
    link: Link
    title: str
    packets: tuple[PacketRow, ...]
    packets_text: str
    total: str
    visited: str
    sheet_url: str
    labels_url: str
    debrief_url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPage:
    """The paper of a stay; `crowded` lets it fit on one page.

    With `many_days` their column is the longer one: what looks usual stands in the other.
    """

    tank: Tank
    sheet: Sheet
    printed: str
    degree: str
    crowded: bool
    many_days: bool
    stay_url: str


@bp.route("/tank/<int:tank_id>/share/sitter", methods=["GET", "POST"])
def new_stay(tank_id: int) -> ResponseReturnValue:
    """Plan a sitter's stay, make its link and show it once."""
    with database().reading() as session:
        snapshot = tasks.snapshot_of(session, tank_id, now=now())
    tank = snapshot.tank
    first, last = stay_days(snapshot, load())
    form = StayForm(
        data={
            "first_day": first,
            "last_day": last,
            "scoops": plain(tank.plan.portion_scoops),
            "rhythm": Rhythm.SECOND.value,
        }
    )
    if form.is_submitted():
        form.validate()
        if (stay := form.new_stay()) and (answer := _made(tank_id, form, stay)):
            return answer
    page = NewStayPage(tank=tank, form=form, scoop=_scoop(tank), plan=_plan(tank))
    return render_template("share/sitter.html", page=page), 422 if form.is_submitted() else 200


def _made(tank_id: int, form: StayForm, stay: NewStay) -> ResponseReturnValue | None:
    try:
        with database().writing() as session:
            link_id, token = sitter.make(
                session, tank_id, stay,
                made_by_id=visitor().author_id, now=now(), token=link_token(form.once),
            )  # fmt: skip
    except Refused as refused:
        form.complain("chosen" if stay.chosen else "last_day", str(refused))
        return None
    stay_url = url_for("share.stay", tank_id=tank_id, link_id=link_id)
    return made_page(tank_id, LinkKind.SITTER, token, stay.last_day, stay_url=stay_url)


def _scoop(tank: Tank) -> str:
    if tank.scoop_grams is None:
        return "The scoop was never weighed. The packets will say scoops only."
    return f"A flat scoop holds {with_unit(decimal(tank.scoop_grams, 2), 'g')}."


def _plan(tank: Tank) -> str:
    days = [WEEKDAYS[str(d)] for d in sorted(tank.plan.feed_weekdays)]
    return f"The plan of this tank has food on {listed(days)}." if days else "No food is planned."


@bp.get("/tank/<int:tank_id>/share/sitter/<int:link_id>", endpoint="stay")
def show_stay(tank_id: int, link_id: int) -> ResponseReturnValue:
    """A sitter's stay: packets ticked, days visited, its papers."""
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
        link = _stay(links.link(session, tank_id, link_id))
        packets = sitter.packets_of(session, link_id)
        site = tasks.snapshot_of(session, tank_id, now=now()).site
        visited = sitter.visited_days(session, link, site.zone)
    today = local_day(now(), site.zone)
    where: dict[str, Any] = {"tank_id": tank_id, "link_id": link_id}
    grams = total_grams(packets)
    page = StayPage(
        tank=tank,
        link=link,
        title=link.label or "A sitter’s stay",
        packets=tuple(
            PacketRow(number=p.number, text=label_text(p), given=_given(p, today)) for p in packets
        ),
        packets_text=packets_text(packets),
        total="" if grams is None else with_unit(decimal(grams, 2), "g"),
        visited=listed([full_day(day) for day in visited]),
        sheet_url=url_for("share.sheet", **where),
        labels_url=url_for("share.packet_labels", **where),
        debrief_url=url_for(
            "share.debrief", tank_id=tank_id, first=link.first_day, last=link.last_day
        ),
    )
    return render_template("share/stay.html", page=page)


def _given(packet: Packet, today: date) -> str:
    if packet.given:
        return "ticked"
    return "not ticked" if packet.day < today else "to come"


def _stay(link: Link) -> Link:
    if link.kind is not LinkKind.SITTER:
        raise NotFound("This link is no sitter’s.")
    return link


@bp.get("/tank/<int:tank_id>/share/sitter/<int:link_id>/sheet")
def sheet(tank_id: int, link_id: int) -> ResponseReturnValue:
    """The sitter's one page of paper."""
    page = _sheet_page(tank_id, link_id)
    drawing = page.sheet.around.drawing
    svg = Markup(drawing.svg) if drawing else ""  # noqa: S704  # drawn from measures alone
    return render_template("share/sheet.html", page=page, svg=svg)


@bp.get("/tank/<int:tank_id>/share/sitter/<int:link_id>/labels")
def packet_labels(tank_id: int, link_id: int) -> ResponseReturnValue:
    """Labels for the packets."""
    page = _sheet_page(tank_id, link_id)
    texts = [(p.number, full_day(p.day), amount_text(p)) for p in page.sheet.packets]
    return render_template("share/packet_labels.html", page=page, labels=texts)


# with more days or letters than that the sheet is set smaller, so that it stays one page
_ROWS = 16
_LETTERS = 1000


def _sheet_page(tank_id: int, link_id: int) -> SheetPage:
    with database().reading() as session:
        link = _stay(links.link(session, tank_id, link_id))
        snapshot = tasks.snapshot_of(session, tank_id, now=now())
        made = sitter_sheet.sheet(session, link, snapshot, load())
    at = clock(now(), snapshot.site.zone)
    return SheetPage(
        tank=snapshot.tank,
        sheet=made,
        printed=f"printed {full_day(snapshot.today)} {snapshot.today.year}, {at}",
        degree=snapshot.site.unit_of(Quantity.TEMPERATURE).symbol,
        crowded=len(made.rows) > _ROWS or _letters(made) > _LETTERS,
        many_days=len(made.rows) > _ROWS,
        stay_url=url_for("share.stay", tank_id=tank_id, link_id=link_id),
    )


def _letters(made: Sheet) -> int:
    around = made.around
    texts = (*around.checks, *around.usual, around.leave_alone, *(p.text for p in around.phones))
    return sum(map(len, (*texts, *(text for _, text in around.places))))
