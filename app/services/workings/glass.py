"""The measures of the glass and its bed, as several pages ask for them."""

from collections.abc import Callable
from typing import Any, Final

from app.domain.measures import glass_of
from app.domain.snapshot import TankSnapshot
from app.domain.tank import TankForm, TankShape
from app.knowledge.model import Knowledge
from app.science.shapes import Bowl
from app.services.workings.model import Ask, CannotWork, Choose, Given
from app.services.workings.units import CENTIMETERS

FORMS: Final = {
    TankForm.BOX.value: "Box",
    TankForm.CYLINDER.value: "Cylinder",
    TankForm.HEXAGON.value: "Six-sided",
    TankForm.BOW_FRONT.value: "Bow front",
    TankForm.BOWL.value: "Bowl",
}
FORM_NOTE: Final = "All measures inside the glass, with a ruler. Outside sizes say too much."


def _of_shape(name: str) -> Callable[[TankSnapshot, Knowledge], float | None]:
    def known(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
        found = getattr(snapshot.tank.shape, name)
        return None if found is None else float(found)

    return known


def _width(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
    shape = snapshot.tank.shape
    return shape.width_cm if shape.form in {TankForm.BOX, TankForm.BOW_FRONT} else None


def _only(form: TankForm, name: str) -> Callable[[TankSnapshot, Knowledge], float | None]:
    """Of a shape that has this measure; 0 stands for the others in the record."""

    def known(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:  # noqa: ARG001
        shape = snapshot.tank.shape
        return float(getattr(shape, name)) if shape.form is form else None

    return known


def _form(snapshot: TankSnapshot, knowledge: Knowledge) -> str:  # noqa: ARG001
    return snapshot.tank.shape.form.value


def _cm(name: str, label: str, noun: str, high: float, **more: Any) -> Ask:
    known = more.pop("known", _of_shape(f"{name}_cm"))
    more = {"low": 0.0} | more
    return Ask(name=name, label=label, noun=noun, units=CENTIMETERS, high=high, known=known, **more)


GLASS_ASKS: Final = (
    Choose(
        name="form", label="Shape of the glass", options=FORMS, default="box", known=_form,
        hint=FORM_NOTE,
    ),
    _cm(
        "length", "Length", "the length", 1000, low=0.1,
        hint="Cylinder and bowl: the widest inside diameter. Six-sided: pane to opposite pane.",
    ),
    _cm(
        "width", "Front to back", "the width", 1000, low=0.1, required=False, known=_width,
        hint="Box and bow front only. Of a bow front at its ends.",
    ),
    _cm(
        "bow", "How far the front bows out", "the bow", 500, required=False,
        known=_only(TankForm.BOW_FRONT, "bow_cm"), hint="Bow front only.",
    ),
    _cm(
        "base", "Flat bottom", "the diameter of the flat bottom", 1000, required=False,
        known=_only(TankForm.BOWL, "base_cm"), hint="Bowl only: its inside diameter.",
    ),
)  # fmt: skip
DEPTH_ASK: Final = _cm(
    "water_depth", "Water, from the bottom glass up", "the depth of the water", 500, low=0.1
)
BED_ASKS: Final = (
    _cm("sand_front", "Sand at the front glass", "the sand at the front", 200, required=False),
    _cm("sand_back", "Sand at the back glass", "the sand at the back", 200, required=False),
)


def shape_from(given: Given) -> TankShape:
    """The glass as it was typed, with the bed where that was asked for.

    Raises:
        CannotWork: If a measure of this form is missing, or does not go with the others.
    """
    form = TankForm(given.choices["form"])
    length = given.number("length")
    width, bow, base = given.maybe("width"), given.maybe("bow"), given.maybe("base")
    if form in {TankForm.BOX, TankForm.BOW_FRONT} and width is None:
        raise CannotWork("Enter the width.", "width")
    if form is TankForm.BOW_FRONT and bow is None:
        raise CannotWork("Enter how far the front bows out.", "bow")
    if form is TankForm.BOW_FRONT and (bow or 0.0) > length / 2.0:
        raise CannotWork("A front bows out by half its length at most.", "bow")
    if form is TankForm.BOWL and base is None:
        raise CannotWork("Enter the diameter of the flat bottom.", "base")
    if form is TankForm.BOWL and (base or 0.0) > length:
        raise CannotWork("The bottom cannot be wider than the bowl.", "base")
    has_width = form in {TankForm.BOX, TankForm.BOW_FRONT} and width is not None
    return TankShape(
        form=form,
        length_cm=length,
        width_cm=width if has_width and width is not None else length,
        bow_cm=(bow or 0.0) if form is TankForm.BOW_FRONT else 0.0,
        base_cm=(base or 0.0) if form is TankForm.BOWL else 0.0,
        water_depth_cm=given.numbers.get("water_depth"),
        sand_front_cm=given.numbers.get("sand_front"),
        sand_back_cm=given.numbers.get("sand_back"),
    )


def refuse_too_high(shape: TankShape) -> None:
    """Refuse sand over the water, and water over the top of a bowl.

    Raises:
        CannotWork: With a sentence for the field.
    """
    depth = shape.water_depth_cm
    glass = glass_of(shape)
    if isinstance(glass, Bowl) and depth is not None and depth > glass.full_depth_cm:
        raise CannotWork("The water cannot stand higher than the bowl.", "water_depth")
    for name in ("sand_front", "sand_back"):
        sand = getattr(shape, f"{name}_cm")
        if sand is not None and depth is not None and sand > depth:
            raise CannotWork("The sand cannot stand higher than the water.", name)
