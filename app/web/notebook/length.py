"""A length from four points in a photo: two on a ruler, then the mouth and the end of the tail.

An image button sends where it was pressed, so that it works without a script; two number fields
do the same by keyboard. The points so far travel in the address, and nothing is kept before Save.

A button counts in the pixels of the page in which it is shown, and nobody tells the server how
wide that was. So there is one button for each width, the style sheet shows the one that fits the
screen, and its name says how wide it is.
"""

import math
from dataclasses import dataclass
from typing import Any, Final, Self

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms import Form, HiddenField

from app.domain.errors import Refused, TokenReused
from app.domain.tank import Tank
from app.domain.wording import length_text
from app.services import lengths, photos, sites, tanks
from app.services.entries import Stamp
from app.services.lengths import LONGEST_CM, POINTS, Measured
from app.services.livestock import animals
from app.services.photos import Photo
from app.web.fields import ChoiceField, LengthField, NumberField, PageForm
from app.web.notebook import bp
from app.web.notebook.pages import PhotoShown, photo_shown, sees_all
from app.web.request import database, now, visitor
from app.web.rights import may_open

# how wide the picture may be on the page, in CSS pixels; a style sheet knows them too
WIDTHS: Final = (280, 340, 440, 600, 1000)
_LARGE: Final = 1000
# what two typed percentages are as good as
_BY_NUMBERS: Final = 600
_ASKS: Final = (
    "Tap a mark at one end of the ruler",
    "Tap a mark further along the ruler",
    "Tap the mouth of the animal",
    "Tap the end of its tail",
)
_BY_KEYS: Final = "To set a point by keyboard, use the two number fields."
Point = tuple[float, float]


def _percent(label: str, noun: str) -> NumberField:
    return NumberField(label, noun=noun, low=0, high=100)


class PointForm(Form):
    """One more point by numbers, and how long the piece of ruler is."""

    cm = LengthField(
        "How much of the ruler lies between the two points?", noun="the length in cm",
        low=0.1, high=LONGEST_CM, description="In cm, also as 2 in.",
    )  # fmt: skip
    left = _percent("From the left edge", "the way from the left edge in %")
    top = _percent("From the upper edge", "the way from the upper edge in %")


class LengthForm(PageForm):
    """Which animals were measured; the points and the ruler come along."""

    points = HiddenField("Points")
    cm = HiddenField("Ruler")
    wide = HiddenField("Width")
    group = ChoiceField("Which animals", noun="which animals")

    @classmethod
    def of(cls, names: dict[str, str], measured: Measured | None) -> Self:
        """The form for these points."""
        form = cls(
            data={
                "points": lengths.points_text(measured.points),
                "cm": f"{measured.ruler_cm:g}",
                "wide": str(measured.wide),
            }
            if measured
            else None
        )
        form.group.choices = names
        return form


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line from point to point on the drawn picture, in its pixels, and what it is."""

    start: tuple[float, float]
    end: tuple[float, float]
    kind: str


@dataclass(frozen=True, slots=True)
class Button:
    """The picture as a button: its name in the answer, and its size on the page in pixels."""

    name: str
    wide: int
    tall: int


@dataclass(frozen=True, slots=True)
class _Tap:
    """Where a button of this width was pressed, in its own pixels."""

    wide: int
    x: int
    y: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthPage:
    """The next step, or what came out. `hidden` are the points so far as an address has them.

    `wide` is the narrowest picture on which a point was set, "" before the first; `is_large` is
    a picture to scroll in.
    """

    tank: Tank
    photo: PhotoShown
    step: int
    ask: str
    problem: str
    form: PointForm
    wide: str
    buttons: tuple[Button, ...]
    is_large: bool
    sizes: tuple[tuple[str, str, bool], ...]
    hidden: tuple[str, ...]
    marks: tuple[tuple[float, float], ...]
    lines: tuple[Line, ...]
    again_url: str
    result: str
    between: str
    save: LengthForm | None
    animals_url: str


@bp.get("/tank/<int:tank_id>/notebook/photo/<int:photo_id>/length")
def length(tank_id: int, photo_id: int) -> ResponseReturnValue:
    """Set the next point, or see what comes out."""
    photo = _photo(tank_id, photo_id)
    form = PointForm(request.args)
    points, wide = _points(request.args.getlist("p")), _wide(request.args.get("wide", ""))
    problem, tap = "", _tap()
    if form.validate() and len(points) < POINTS and (tap or "set" in request.args):
        added = _new_point(form, tap, photo)
        points, problem = ((*points, added), "") if added else (points, _BY_KEYS)
        wide = min(wide or _LARGE, tap.wide if tap else _BY_NUMBERS) if added else wide
    return _page(photo, form, points, wide, problem)


def _photo(tank_id: int, photo_id: int) -> Photo:
    with database().reading() as session:
        return photos.photo(session, tank_id, photo_id, keeper=sees_all())


def _wide(text: str) -> int | None:
    return next((wide for wide in WIDTHS if text == str(wide)), None)


def _tall(photo: Photo, wide: int) -> int:
    return max(1, round(wide * photo.height / photo.width))


def _points(texts: list[str]) -> tuple[Point, ...]:
    """The points of an address; what is none is left out."""
    found = []
    for text in texts[:POINTS]:
        x, _, y = text.partition(",")
        try:
            point = float(x), float(y)
        except ValueError:
            continue
        if all(math.isfinite(part) and 0.0 <= part <= 1.0 for part in point):
            found.append(point)
    return tuple(found)


def _tap() -> _Tap | None:
    """Which of the buttons was pressed, and where; None for no button."""
    for wide in WIDTHS:
        if f"tap{wide}.x" in request.args:
            x, y = (request.args.get(f"tap{wide}.{side}", 0, type=int) for side in "xy")
            return _Tap(wide, x, y)
    return None


def _new_point(form: PointForm, tap: _Tap | None, photo: Photo) -> Point | None:
    """Where the picture was pressed, else what the number fields say; None for neither.

    The upper left corner is what a browser sends when the button is pressed by keyboard.
    """
    if tap is not None and (tap.x, tap.y) != (0, 0):
        tall = _tall(photo, tap.wide)
        if 0 <= tap.x < tap.wide and 0 <= tap.y < tall:
            return (tap.x + 0.5) / tap.wide, (tap.y + 0.5) / tall
    if form.left.number is not None and form.top.number is not None:
        return form.left.number / 100.0, form.top.number / 100.0
    return None


def _page(
    photo: Photo, form: PointForm, points: tuple[Point, ...], wide: int | None, problem: str
) -> ResponseReturnValue:
    with database().reading() as session:
        tank = tanks.tank(session, photo.tank_id)
        site = sites.site(session, photo.tank_id)
        groups = animals.groups(session, photo.tank_id, now=now())
    measured, said, between = None, "", ""
    if len(points) == POINTS and form.cm.number:
        measured = Measured(points=points, ruler_cm=form.cm.number, wide=wide or _BY_NUMBERS)
        try:
            found = lengths.length(photo, measured)
        except Refused as refused:
            measured, problem = None, str(refused)
        else:
            said = length_text(site, found.best)
            between = f"{length_text(site, found.low)} to {length_text(site, found.high)}"
    names = {str(group.id): group.name for group in groups if group.count}
    saves = measured is not None and names and may_open("notebook.save_length")
    # what was typed for one point is not the next one
    form.left.data = form.top.data = ""
    step = len(points)
    args: dict[str, Any] = {"tank_id": photo.tank_id, "photo_id": photo.id}
    kept = tuple(lengths.points_text(points).split())
    is_large = request.values.get("size") == "large"
    size = "large" if is_large else None
    again = {**args, "p": list(kept[:-1]), "cm": form.cm.data or None, "wide": wide, "size": size}
    page = LengthPage(
        tank=tank,
        photo=photo_shown(photo, site.zone),
        step=step,
        ask=_ASKS[step] if step < POINTS else "",
        problem=problem,
        form=form,
        wide="" if wide is None else str(wide),
        buttons=tuple(
            Button(f"tap{each}", each, _tall(photo, each))
            for each in ((_LARGE,) if is_large else WIDTHS)
        ),
        is_large=is_large,
        sizes=tuple(
            (
                label,
                url_for("notebook.length", **(again | {"p": list(kept), "size": key})),
                (key == "large") == is_large,
            )
            for key, label in ((None, "As wide as the screen"), ("large", "Large, to scroll in"))
        ),
        hidden=kept,
        marks=tuple(_at(photo, point) for point in points),
        lines=_lines(photo, points),
        again_url=url_for("notebook.length", **again) if points else "",
        result=said,
        between=between,
        save=LengthForm.of(names, measured) if saves else None,
        animals_url=url_for("livestock.overview", tank_id=photo.tank_id)
        if may_open("livestock.overview")
        else "",
    )
    return render_template("notebook/length.html", page=page)


def _at(photo: Photo, point: Point) -> tuple[float, float]:
    return round(point[0] * photo.width, 1), round(point[1] * photo.height, 1)


def _lines(photo: Photo, points: tuple[Point, ...]) -> tuple[Line, ...]:
    places = [_at(photo, point) for point in points]
    pairs = (("ruler", places[0:2]), ("animal", places[2:4]))
    return tuple(
        Line(start=pair[0], end=pair[1], kind=kind) for kind, pair in pairs if len(pair) == 2
    )


@bp.post("/tank/<int:tank_id>/notebook/photo/<int:photo_id>/length")
def save_length(tank_id: int, photo_id: int) -> ResponseReturnValue:
    """Write the length down, at the time of the photo."""
    photo = _photo(tank_id, photo_id)
    with database().reading() as session:
        groups = animals.groups(session, tank_id, now=now())
    form = LengthForm.of({str(group.id): group.name for group in groups}, None)
    points = _points((form.points.data or "").split())
    ruler = PointForm(data={"cm": form.cm.data})
    ruler.validate()
    if not form.validate() or not ruler.cm.number:
        return _page(photo, ruler, points, _wide(form.wide.data or ""), "Choose which animals.")
    wide = _wide(form.wide.data or "") or _BY_NUMBERS
    measured = Measured(points=points, ruler_cm=ruler.cm.number, wide=wide)
    stamp = Stamp(
        tank_id=tank_id,
        token=form.once,
        happened_at=photo.taken_at,
        author_id=visitor().author_id,
    )
    try:
        with database().writing() as session:
            saved = lengths.save(
                session, stamp, photo_id, int(form.group.data), measured, now=now()
            )
    except TokenReused:
        raise Refused("This form was saved before. Measure once more from the photo.") from None
    flash("The length is saved.", "saved")
    return redirect(url_for("story.entry", tank_id=tank_id, entry_id=saved.entry_id), 303)
