"""Groups of animals: add one, with the lists searched by any name; change what is known of one."""

from dataclasses import dataclass
from typing import Any, Self

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session
from wtforms import HiddenField, StringField
from wtforms.validators import Length

from app.domain.errors import NotFound, Refused, TokenReused
from app.domain.livestock import StockGroup
from app.domain.tank import Site, Tank
from app.knowledge.catalogue import Species
from app.services import own_species, sites, tanks
from app.services.entries import Stamp
from app.services.livestock import animals as animal_service
from app.services.livestock import arrivals, settling
from app.services.livestock.animals import GroupFacts
from app.services.livestock.arrivals import EarlyQuestion
from app.services.livestock.settling import GroupDraft
from app.services.transaction import site_of
from app.web.fields import ChoiceField, LengthField, NumberField, PageForm, plain
from app.web.livestock import bp
from app.web.livestock.pages import BANDS
from app.web.request import database, now, stamp_now
from app.web.writing.many import ManyForm
from app.web.writing.saving import answered_early, ask_early

MOST_FOUND = 12
_POSITIONS = {"surface": "surface", "mid": "middle", "middle": "middle", "bottom": "bottom"}
_LONG = "Use {} letters at most."


def _text(label: str, most: int, description: str = "") -> StringField:
    return StringField(
        label, [Length(max=most, message=_LONG.format(most))], description=description
    )


class FactsForm(PageForm):
    """What is known of a group."""

    name = _text("What you call them", 80, "Such as: peppered cory. One kind for each group.")
    species = HiddenField("Which animal", [Length(max=120, message=_LONG.format(120))])
    band = ChoiceField(
        "Where do they live", noun="where they live", choices=BANDS, default="middle"
    )
    adult_cm = LengthField(
        "Grown length", noun="the grown length in cm", low=0.1, high=200,
        description="With tail, also as 1.5 in. Then they are drawn to scale.",
    )  # fmt: skip

    @classmethod
    def of(cls, species: Species | None, group: StockGroup | None = None) -> Self:
        """The form filled from an animal of a list, or from the group as it stands."""
        data: dict[str, Any] = {}
        if group is not None:
            data = {
                "name": group.name,
                "species": group.species,
                "band": group.band,
                "adult_cm": plain(group.adult_cm),
            }
        if species is not None:
            data |= {
                "species": species.scientific_name,
                "band": _POSITIONS.get(species.position, "middle"),
                "adult_cm": plain(species.adult_tl_cm),
            }
            data.setdefault("name", _curly(species.common_name))
        return cls(data=data)

    def facts(self) -> GroupFacts | None:
        """What was typed, or None with sentences beside the fields."""
        self.validate()
        if not self.text("name"):
            self.complain("name", "Enter the name of the animals.")
        if self.errors:
            return None
        return GroupFacts(
            name=self.text("name"),
            band=self.band.data,
            adult_cm=self.adult_cm.number,
            species=self.text("species"),
        )


class GroupForm(FactsForm, ManyForm):
    """Animals of one kind that are in the tank, or come today."""

    count = NumberField(
        "How many are there now", noun="how many there are", low=0, high=10_000, whole=True,
        required=True,
    )  # fmt: skip
    source = _text("Where from", 120, "A shop, a keeper, another class. They become a batch.")
    label = _text("Name of the batch", 80, "Only if you want one.")
    apart_days = NumberField(
        "Days kept apart before", noun="the days", low=0, high=365, whole=True,
        description="In a tank of their own. Leave it empty if you don’t know.",
    )  # fmt: skip
    length_cm = LengthField(
        "Mean length now", noun="the length in cm", low=0.1, high=200,
        description="With tail, if you measured; also as 1.5 in.",
    )  # fmt: skip

    def draft(self, tank: Tank, site: Site) -> GroupDraft | None:
        """What was typed, or None with sentences beside the fields."""
        facts = self.facts()
        self.ask_many(tank, site)
        if facts is None or self.errors:
            return None
        apart = self.apart_days.number
        return GroupDraft(
            name=facts.name,
            band=facts.band,
            adult_cm=facts.adult_cm,
            species=facts.species,
            count=int(self.count.number or 0),
            label=self.text("label"),
            source=self.text("source"),
            apart_days=None if apart is None else int(apart),
            length_cm=self.length_cm.number,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupsPage:
    """The form of a group, and the animals of the lists that fit what was looked for.

    `group` is None for a new one. `found` are (name, scientific name, address, from where).
    """

    tank: Tank
    group: StockGroup | None
    groups: tuple[StockGroup, ...]
    typed: str
    found: tuple[tuple[str, str, str, str], ...]
    chosen: str
    form: FactsForm
    here: str


@bp.route("/tank/<int:tank_id>/animals", methods=["GET", "POST"])
def add(tank_id: int) -> ResponseReturnValue:
    """One more group: look for the animal by any of its names, or type what it is."""
    form = GroupForm.of(_asked(tank_id))
    if not form.is_submitted():
        form.count.data = request.args.get("count", "")[:6]
    with database().reading() as session:
        tank, site = tanks.tank(session, tank_id), sites.site(session, tank_id)
    draft = form.draft(tank, site) if form.is_submitted() else None
    if draft is not None:
        stamp = stamp_now(tank_id, form.once)
        try:
            with database().writing() as session:
                settled = _settle(session, stamp, draft)
        except TokenReused as reused:
            form.complain("name", f"{reused} Open the page again for one more group.")
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            if isinstance(settled, EarlyQuestion):
                return ask_early(tank_id, form, settled)
            flash(f"Saved: {draft.count} {draft.name}.", "saved")
            return redirect(url_for("livestock.overview", tank_id=tank_id), 303)
    return _page(tank_id, form, None, url_for("livestock.add", tank_id=tank_id))


def _settle(session: Session, stamp: Stamp, draft: GroupDraft) -> int | EarlyQuestion:
    def write(asked: Stamp) -> int:
        return settling.settle(session, asked, draft, now=now())

    if not draft.count:
        return write(stamp)
    return arrivals.ask_first(session, stamp, write, answered=answered_early(), now=now())


@bp.route("/tank/<int:tank_id>/animals/<int:group_id>/change", methods=["GET", "POST"])
def change(tank_id: int, group_id: int) -> ResponseReturnValue:
    """Change what is known of a group: its name, which animal it is, how it is drawn."""
    group = group_of(tank_id, group_id)
    form = FactsForm.of(_asked(tank_id), group)
    facts = form.facts() if form.is_submitted() else None
    if facts is not None:
        try:
            with database().writing() as session:
                animal_service.change_group(session, group_id, facts)
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash(f"Saved: {facts.name}.", "saved")
            return redirect(url_for("livestock.group", tank_id=tank_id, group_id=group_id), 303)
    here = url_for("livestock.change", tank_id=tank_id, group_id=group_id)
    return _page(tank_id, form, group, here)


def group_of(tank_id: int, group_id: int) -> StockGroup:
    """A group of this tank.

    Raises:
        NotFound: If the tank has no such group.
    """
    with database().reading() as session:
        tanks.tank(session, tank_id)
        found = animal_service.groups(session, tank_id, now=now())
    for group in found:
        if group.id == group_id:
            return group
    raise NotFound("There is no such group in this tank.")


def _asked(tank_id: int) -> Species | None:
    """The animal that the address names, or None."""
    slug = request.args.get("animal", "")[:120]
    if not slug:
        return None
    with database().reading() as session:
        return own_species.with_address(session, site_of(session, tank_id), slug)


def _page(
    tank_id: int, form: FactsForm, group: StockGroup | None, here: str
) -> ResponseReturnValue:
    typed = request.args.get("name", "").strip()[:80]
    with database().reading() as session:
        found = own_species.fitting(session, site_of(session, tank_id), typed)
        page = GroupsPage(
            tank=tanks.tank(session, tank_id),
            group=group,
            groups=animal_service.groups(session, tank_id, now=now()),
            typed=typed,
            found=tuple(_hit(s, here) for s in found[:MOST_FOUND]),
            chosen=form.text("species"),
            form=form,
            here=here,
        )
    return render_template("livestock/groups.html", page=page), 422 if form.is_submitted() else 200


def _hit(species: Species, here: str) -> tuple[str, str, str, str]:
    whose = "your own list" if species.confidence == "own" else ""
    url = f"{here}?animal={species.slug}"
    return _curly(species.common_name), species.scientific_name, url, whose


def _curly(text: str) -> str:
    return text.replace("'", "’")
