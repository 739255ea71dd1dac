"""The household's own list of animals: what it read about one that the catalogue lacks."""

from dataclasses import dataclass
from typing import Any, Self

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms import StringField
from wtforms.validators import Length

from app.domain.errors import NotFound, Refused
from app.domain.livestock import OwnSpecies
from app.domain.quantities import FACTS, Quantity, Unit
from app.domain.tank import Site
from app.services import own_species
from app.services.own_species import SpeciesDraft
from app.web.fields import ChoiceField, NumberField, PageForm, plain, with_fields
from app.web.livestock import bp
from app.web.request import database
from app.web.where import place_of_page

KINDS = {"fish": "Fish", "shrimp": "Shrimp", "crayfish": "Crayfish", "snail": "Snail"}
HEIGHTS = {"": "Not known", "surface": "Surface", "mid": "Middle", "bottom": "Bottom"}
TEMPERS = {
    "": "Not known",
    "peaceful": "Peaceful",
    "semi": "Pushy at times",
    "territorial": "Guards its ground",
    "fin-nipping": "Nips fins",
    "predatory": "Hunts other animals",
}
_SPANS = ("temperature", "ph", "gh")


def _text(label: str, most: int, description: str = "") -> StringField:
    said = f"Use {most} letters at most."
    return StringField(label, [Length(max=most, message=said)], description=description)


def _end(label: str, noun: str, low: float, high: float) -> NumberField:
    return NumberField(label, noun=noun, low=low, high=high)


class SpeciesForm(PageForm):
    """What somebody read about an animal; `species_form` adds the ends of the temperature."""

    unit: Unit

    common_name = _text("Common name", 80)
    scientific_name = _text("Scientific name", 120, "Both words, as the book has it.")
    source = _text("Where did you read it", 200, "The book with its page, or who told you.")
    kind = ChoiceField("What it is", noun="what it is", choices=KINDS, default="fish")
    ph_low = _end("pH from", "the lowest pH", 3, 11)
    ph_high = _end("pH to", "the highest pH", 3, 11)
    gh_low = _end("Hardness (GH) from", "the lowest hardness in °dGH", 0, 60)
    gh_high = _end("Hardness (GH) to", "the highest hardness in °dGH", 0, 60)
    adult_cm = _end("Grown length", "the grown length in cm", 0.1, 200)
    min_group = NumberField(
        "Smallest group", noun="the smallest group", low=1, high=1000, whole=True
    )
    position = ChoiceField("Height", noun="the height", choices=HEIGHTS, default="")
    temperament = ChoiceField("Temperament", noun="the temperament", choices=TEMPERS, default="")

    @classmethod
    def of(cls, known: OwnSpecies | None, unit: Unit) -> Self:
        """The form, empty or with what stands in the list, its temperatures in that unit."""
        form = cls(data=cls._known(known, unit) if known else None)
        form.unit = unit
        return form

    @staticmethod
    def _known(known: OwnSpecies, unit: Unit) -> dict[str, Any]:
        data: dict[str, Any] = {
            "common_name": known.common_name,
            "scientific_name": known.scientific_name,
            "source": known.source,
            "kind": known.group,
            "adult_cm": plain(known.adult_cm),
            "min_group": plain(known.min_group),
            "position": known.position,
            "temperament": known.temperament,
        }
        warmth = None
        if known.temperature_c is not None:
            low, high = (round(unit.from_kept(end), 2) for end in known.temperature_c)
            warmth = low, high
        for name, span in zip(_SPANS, (warmth, known.ph, known.gh), strict=True):
            ends = span or (None, None)
            data |= {f"{name}_low": plain(ends[0]), f"{name}_high": plain(ends[1])}
        return data

    def draft(self) -> SpeciesDraft | None:
        """What was typed, or None with sentences beside the fields."""
        self.validate()
        for name, ask in (
            ("common_name", "Enter the common name."),
            ("scientific_name", "Enter the scientific name."),
            ("source", "Write where you read it."),
        ):
            if not self.text(name):
                self.complain(name, ask)
        spans = {name: self._span(name) for name in _SPANS}
        if self.errors:
            return None
        group = self.min_group.number
        return SpeciesDraft(
            scientific_name=self.text("scientific_name"),
            common_name=self.text("common_name"),
            group=self.kind.data,
            temperature_c=self._celsius(spans["temperature"]),
            ph=spans["ph"],
            gh=spans["gh"],
            adult_cm=self.adult_cm.number,
            min_group=None if group is None else int(group),
            position=self.position.data,
            temperament=self.temperament.data,
            source=self.text("source"),
        )

    def _celsius(self, span: tuple[float, float] | None) -> tuple[float, float] | None:
        if span is None:
            return None
        low, high = (round(self.unit.to_kept(end), 3) for end in span)
        return low, high

    def _span(self, name: str) -> tuple[float, float] | None:
        low, high = self[f"{name}_low"], self[f"{name}_high"]
        if low.errors or high.errors or (low.number is None and high.number is None):
            return None
        if low.number is None or high.number is None:
            missing = f"{name}_low" if low.number is None else f"{name}_high"
            self.complain(missing, "Enter both ends, or none.")
            return None
        if low.number >= high.number:
            self.complain(f"{name}_high", "The high end must lie above the low end.")
        return low.number, high.number


def species_form(known: OwnSpecies | None, unit: Unit) -> Any:
    """The form, empty or filled, in the unit that the household reads its thermometer in."""
    low, high = (round(unit.from_kept(end), 1) for end in FACTS[Quantity.TEMPERATURE].impossible)
    fields = {
        f"temperature_{end}": _end(
            f"Temperature {'from' if end == 'low' else 'to'}",
            f"the {end}est temperature in {unit.symbol}",
            low,
            high,
        )
        for end in ("low", "high")
    }
    return with_fields(SpeciesForm, "OwnSpeciesForm", fields).of(known, unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnPage:
    """The own list with the form for one; `known` is the one that is changed, else None."""

    animals: tuple[OwnSpecies, ...]
    known: OwnSpecies | None
    form: Any


@bp.route("/own-animals", methods=["GET", "POST"])
def own() -> ResponseReturnValue:
    """The own list; add an animal."""
    place = _place()
    form = species_form(None, place.unit_of(Quantity.TEMPERATURE))
    draft = form.draft() if form.is_submitted() else None
    if draft is not None:
        try:
            with database().writing() as session:
                own_species.add(session, place.id, draft)
        except Refused as refused:
            form.complain("scientific_name", str(refused))
        else:
            return _back(f"Saved: {draft.common_name}.")
    return _page(place, form, None)


@bp.route("/own-animals/<int:species_id>", methods=["GET", "POST"])
def change_own(species_id: int) -> ResponseReturnValue:
    """Change what was written about an animal of the own list."""
    place = _place()
    known = _known(place, species_id)
    form = species_form(known, place.unit_of(Quantity.TEMPERATURE))
    draft = form.draft() if form.is_submitted() else None
    if draft is not None:
        try:
            with database().writing() as session:
                own_species.change(session, species_id, draft)
        except Refused as refused:
            form.complain("scientific_name", str(refused))
        else:
            return _back(f"Saved: {draft.common_name}.")
    return _page(place, form, known)


@bp.post("/own-animals/<int:species_id>/remove")
def remove_own(species_id: int) -> ResponseReturnValue:
    """Strike an animal from the own list, unless a group is of it."""
    known = _known(_place(), species_id)
    with database().writing() as session:
        own_species.remove(session, species_id)
    return _back(f"Struck from the list: {known.common_name}.")


def _place() -> Site:
    with database().reading() as session:
        return place_of_page(session)


def _known(place: Site, species_id: int) -> OwnSpecies:
    with database().reading() as session:
        found = own_species.own_species(session, place.id)
    for known in found:
        if known.id == species_id:
            return known
    raise NotFound("There is no such animal in your own list.")


def _back(said: str) -> ResponseReturnValue:
    flash(said, "saved")
    return redirect(url_for("livestock.own"), 303)


def _page(place: Site, form: SpeciesForm, known: OwnSpecies | None) -> ResponseReturnValue:
    with database().reading() as session:
        animals = own_species.own_species(session, place.id)
    page = OwnPage(animals=animals, known=known, form=form)
    status = 422 if request.method == "POST" else 200
    return render_template("livestock/own.html", page=page), status
