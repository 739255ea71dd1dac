"""Look and count, and something odd: what eyes can tell without a test kit."""

from dataclasses import dataclass
from typing import Any, Self

from flask import render_template, request
from flask.typing import ResponseReturnValue
from wtforms import BooleanField, SelectMultipleField, TextAreaField
from wtforms.validators import Length
from wtforms.widgets import CheckboxInput

from app.domain.drafts import LONGEST_NOTE, MOST_ANIMALS, NewLook
from app.domain.entry_words import ALGAE_WORDS, SIGN_WORDS
from app.domain.errors import NotFound
from app.domain.quantities import Quantity
from app.domain.records import Sign
from app.knowledge.model import Caution
from app.services import words
from app.services.story import StoryLine
from app.web.fields import ChoiceField, NumberField, plain, reading_fields, with_fields
from app.web.writing import bp
from app.web.writing.choose import Door, doors_for
from app.web.writing.desk import Desk, at_desk, values_of
from app.web.writing.saving import put_down, shown
from app.web.writing.sheet import WritingForm
from app.web.writing.signs import SignView, board, sign_view

_TICKS = {"": "Not looked", "yes": "Yes", "no": "No"}
_TRUTH = {"yes": True, "no": False}
_ALGAE = {"": "Not looked", **{str(k): w.capitalize() for k, w in ALGAE_WORDS.items()}}
_BACK = {True: "yes", False: "no", None: ""}
# what an odd sign asks to know before hands get wet
_CAUTIONS = ("hands", "electricity", "dead_fish")


def _tick(label: str, noun: str) -> ChoiceField:
    return ChoiceField(label, noun=noun, choices=_TICKS, default="")


class _LookForm(WritingForm):
    """A look at the tank. What nobody looked at stays open; it is never "no"."""

    seen = NumberField(
        "How many did you see?", noun="how many you saw", low=0, high=MOST_ANIMALS, whole=True,
        description="Leave it empty if you did not count.",
    )  # fmt: skip
    sure = BooleanField("I counted again. It is that many.")
    breathing_calm = _tick("Do they breathe calmly?", "how they breathe")
    lid_closed = _tick("Is the lid closed?", "how the lid is")
    plug_on = _tick("Are the plug lights on?", "how the plugs are")
    algae = ChoiceField(
        "How much algae is there?", noun="how much algae there is", choices=_ALGAE, default=""
    )
    signs = SelectMultipleField(
        "Did you see any of this?",
        choices={sign.value: SIGN_WORDS[sign].capitalize() for sign in Sign},
        option_widget=CheckboxInput(),
    )
    note = TextAreaField(
        "What you saw, in your words",
        [Length(max=LONGEST_NOTE, message=f"Use {LONGEST_NOTE} letters at most.")],
    )

    @classmethod
    def at(cls, desk: Desk, line: StoryLine | None = None) -> Self:
        """The form for this tank, empty or with what an entry says."""
        form = cls(data=_filled(desk, line))
        if request.form.get("all") == "fine":
            form.fill_all_fine(desk)
        desk.ready(form, line)
        return form

    def fill_all_fine(self, desk: Desk) -> None:
        """One press for the calm day: all seen, breathing calmly, lid closed, plugs on."""
        self.seen.data = str(desk.snapshot.expected_fish)
        for field in (self.breathing_calm, self.lid_closed, self.plug_on):
            field.data = "yes"

    def draft(self, desk: Desk) -> NewLook | None:
        """What was seen, or None with a sentence beside the field."""
        seen = None if self.seen.number is None else int(self.seen.number)
        expected = desk.snapshot.expected_fish
        if seen is not None and seen > expected > 0 and not self.sure.data:
            self.asked.add("sure")
            self.complain("seen", f"More than the {expected} we expect! Babies, or counted twice?")
            return None
        if self.errors:
            return None
        draft = NewLook(
            seen=seen,
            breathing_calm=_TRUTH.get(self.breathing_calm.data),
            lid_closed=_TRUTH.get(self.lid_closed.data),
            plug_on=_TRUTH.get(self.plug_on.data),
            algae=int(self.algae.data) if self.algae.data else None,
            signs=tuple(Sign(s) for s in self.signs.data or () if s in set(Sign)),
            note=self.text("note"),
        )
        if draft == NewLook() and not self.text("temperature"):
            self.form_errors.append("Write down at least one thing that you saw.")
            return None
        return draft


LookForm = with_fields(
    _LookForm,
    "LookForm",
    reading_fields(
        Quantity.TEMPERATURE,
        "How warm is the water?",
        "Bring your eyes level with the thermometer. Leave it empty if you did not look.",
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LookPage:
    """What the two pages show."""

    desk: Desk
    form: Any
    doors: tuple[Door, ...]
    cautions: tuple[Caution, ...]


def _filled(desk: Desk, line: StoryLine | None) -> dict[str, Any]:
    picked = request.args.get("sign", "")
    data: dict[str, Any] = {"temperature_unit": desk.temperature_unit, "signs": [picked]}
    if line is not None:
        detail = line.detail
        data |= {
            "seen": plain(detail.seen),
            "sure": True,
            "breathing_calm": _BACK[detail.breathing_calm],
            "lid_closed": _BACK[detail.lid_closed],
            "plug_on": _BACK[detail.plug_on],
            "algae": plain(detail.algae),
            "signs": detail.signs.split(),
            "note": detail.note,
        }
    return data | values_of(line)


def _page(tank_id: int, template: str, **more: Any) -> ResponseReturnValue:
    desk = at_desk(tank_id)
    form = LookForm.at(desk)
    if form.is_submitted() and (sheet := form.sheet(desk)):
        return put_down(desk, form, sheet)
    page = LookPage(
        desk=desk, form=form, doors=doors_for(tank_id), cautions=words.cautions(_CAUTIONS)
    )
    return render_template(template, page=page, **more), shown(form)


@bp.route("/tank/<int:tank_id>/look", methods=["GET", "POST"])
def look(tank_id: int) -> ResponseReturnValue:
    """Look and count."""
    return _page(tank_id, "writing/look.html")


@bp.route("/tank/<int:tank_id>/odd", methods=["GET", "POST"])
def odd(tank_id: int) -> ResponseReturnValue:
    """Something odd: signs first, a count if there was one."""
    return _page(tank_id, "writing/odd.html", board=board(tank_id))


@bp.get("/tank/<int:tank_id>/odd/<name>")
def sign(tank_id: int, name: str) -> ResponseReturnValue:
    """One sign: what it may be, what to look at, what to do first, whom to fetch."""
    if name not in set(Sign):
        raise NotFound("There is no such sign.")
    desk = at_desk(tank_id)
    page: SignView = sign_view(desk, Sign(name))
    return render_template("writing/sign.html", page=page)
