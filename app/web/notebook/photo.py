"""A photo: added, shown beside the earlier one of its spot, put right, taken back, served."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from flask import Response, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.domain import wording
from app.domain.calendar import local_day, wall_time
from app.domain.errors import Refused
from app.domain.photo import Picture
from app.domain.tank import Tank
from app.services import photos, tanks
from app.services.access import sign_ins
from app.services.entries import FIX_TIME, UNDO_TIME, zone_of
from app.services.installation import keeping
from app.services.photos import Photo, PhotoFacts, PhotoState, Room
from app.web.notebook import bp
from app.web.notebook.pages import WAITS, WHY_HELD, PhotoShown, photo_shown, sees_all
from app.web.notebook.photo_form import PhotoForm
from app.web.request import database, now, settings, visitor
from app.web.rights import may_open
from app.web.writing.desk import Desk, at_desk
from app.web.writing.saving import shown

# a clock that is no more than this off is not worth a question
_SAME_TIME = timedelta(hours=1)
_CAMERA_FORM = "%Y-%m-%dT%H:%M"


@dataclass(frozen=True, slots=True, kw_only=True)
class AddPage:
    """The form, and the last photo of the spot that was chosen in the address."""

    desk: Desk
    form: PhotoForm
    room: Room
    adult: bool
    like: PhotoShown | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoPage:
    """One photo. `photo` is None where it is held and a helper asks; addresses "" where not open.

    `why_held` says in words for helpers why not everybody sees it.
    """

    tank: Tank
    title: str
    photo: PhotoShown | None
    earlier: PhotoShown | None
    just_added: bool
    waits: str
    why_held: str
    camera: tuple[str, str] | None
    facts: tuple[tuple[str, str], ...]
    take_back_url: str
    fix_url: str
    length_url: str
    spot_url: str
    decide_url: str
    is_shown: bool


@bp.route("/tank/<int:tank_id>/notebook/photo", methods=["GET", "POST"])
def add_photo(tank_id: int) -> ResponseReturnValue:
    """Add a photo; a helper's waits until an adult looked at it."""
    desk = at_desk(tank_id)
    with database().reading() as session:
        known = photos.spots(session, tank_id, keeper=sees_all())
        spot = request.args.get("spot")
        last = (
            ()
            if spot is None
            else photos.photos(session, tank_id, keeper=sees_all(), spot=spot, limit=1)
        )
        room = photos.room(session, tank_id)
    form = PhotoForm.at(desk, known)
    if form.is_submitted():
        facts, picture = form.facts(desk), form.picture()
        if (
            facts is not None
            and picture is not None
            and (answer := _save(form, facts, picture, desk))
        ):
            return answer
    zone = desk.site.zone
    page = AddPage(
        desk=desk,
        form=form,
        room=room,
        adult=desk.visitor.is_adult,
        like=photo_shown(last[0], zone) if last else None,
    )
    return render_template("notebook/add_photo.html", page=page), shown(form)


def _save(
    form: PhotoForm, facts: PhotoFacts, picture: Picture, desk: Desk
) -> ResponseReturnValue | None:
    try:
        with database().writing() as session:
            added = photos.add(
                session,
                desk.tank_id,
                picture,
                facts,
                author_id=int(form.hands.data),
                shown=desk.visitor.is_adult,
                token=form.once,
                now=desk.now,
                visitor=desk.visitor,
            )
            sign_ins.remember_hands(session, desk.visitor, int(form.hands.data))
    except Refused as refused:
        form.complain("file", str(refused))
        return None
    said = picture.camera_said
    zone = desk.site.zone
    asked = said is not None and _differs(said, facts.taken_at, zone)
    return redirect(
        url_for(
            "notebook.photo",
            tank_id=desk.tank_id,
            photo_id=added.photo_id,
            added="yes",
            camera=said.strftime(_CAMERA_FORM) if said and asked else None,
        ),
        303,
    )


def _camera_moment(said: datetime, zone: str) -> datetime | None:
    """What the camera wrote as a moment at the tank, None where its clocks skipped that time."""
    try:
        return wall_time(said, zone)
    except ValueError:
        return None


def _differs(said: datetime, taken_at: datetime, zone: str) -> bool:
    moment = _camera_moment(said, zone)
    return moment is not None and moment <= now() and abs(moment - taken_at) > _SAME_TIME


@bp.get("/tank/<int:tank_id>/notebook/photo/<int:photo_id>")
def photo(tank_id: int, photo_id: int) -> ResponseReturnValue:
    """One photo, beside the earlier one of its spot."""
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
        zone = zone_of(session, tank_id)
        found = photos.just_added(session, tank_id, photo_id, keeper=sees_all(), now=now())
        earlier = photos.earlier(session, found, keeper=sees_all())
    page = _photo_page(tank, found, earlier, zone)
    return render_template("notebook/photo.html", page=page)


def _photo_page(tank: Tank, found: Photo, earlier: Photo | None, zone: str) -> PhotoPage:
    visible = sees_all() or found.state is PhotoState.SHOWN
    of: dict[str, Any] = {"tank_id": tank.id, "photo_id": found.id}
    age = now() - found.added_at
    adult, writes = visitor().is_adult, may_open("notebook.add_photo")
    added = "added" in request.args
    kept_back = found.state is PhotoState.REFUSED and not adult
    in_time = writes and (adult or age <= FIX_TIME) and not kept_back
    return PhotoPage(
        tank=tank,
        title=f"Photo, {found.spot}" if found.spot else "Photo",
        photo=photo_shown(found, zone) if visible else None,
        earlier=photo_shown(earlier, zone) if earlier else None,
        just_added=added,
        waits=WAITS if found.state is PhotoState.WAITING else "",
        why_held=_why_held(found),
        camera=_camera(found, zone) if added and in_time else None,
        facts=_facts(found, zone) if visible else (),
        take_back_url=url_for("notebook.take_back", **of)
        if writes and (adult or age <= UNDO_TIME)
        else "",
        fix_url=url_for("notebook.fix_photo", **of) if in_time else "",
        length_url=url_for("notebook.length", **of) if visible else "",
        spot_url=url_for("notebook.spots", tank_id=tank.id, spot=found.spot) if found.spot else "",
        decide_url=url_for("notebook.decide_photo", **of)
        if may_open("notebook.decide_photo") and not found.by_adult
        else "",
        is_shown=found.state is PhotoState.SHOWN,
    )


def _why_held(found: Photo) -> str:
    """Why not everybody sees a photo; a keeper who kept it back knows."""
    known = sees_all() and found.state is PhotoState.REFUSED
    return "" if known else WHY_HELD.get(found.state, "")


def _facts(found: Photo, zone: str) -> tuple[tuple[str, str], ...]:
    facts = [("Taken", wording.when_text(found.taken_at, zone, now())), ("By", found.author)]
    facts += [("Spot", found.spot)] if found.spot else []
    facts += [("Shows", found.caption)] if found.caption else []
    return tuple(facts)


def _camera(found: Photo, zone: str) -> tuple[str, str] | None:
    """What the camera wrote, as value and in words, where it says another time."""
    try:
        said = datetime.strptime(request.args.get("camera", ""), _CAMERA_FORM)  # noqa: DTZ007
    except ValueError:
        return None
    moment = _camera_moment(said, zone)
    if moment is None or not _differs(said, found.taken_at, zone):
        return None
    day = wording.dated(local_day(moment, zone))
    return said.strftime(_CAMERA_FORM), f"{day}, {wording.clock(moment, zone)}"


@bp.route("/tank/<int:tank_id>/notebook/photo/<int:photo_id>/fix", methods=["GET", "POST"])
def fix_photo(tank_id: int, photo_id: int) -> ResponseReturnValue:
    """Put right what is said of a photo: its time, its spot, its words."""
    desk = at_desk(tank_id)
    with database().reading() as session:
        found = photos.just_added(session, tank_id, photo_id, keeper=sees_all(), now=now())
        known = photos.spots(session, tank_id, keeper=sees_all())
    form = PhotoForm.at(desk, known, found)
    if form.is_submitted() and (facts := form.facts(desk)):
        try:
            _change(tank_id, photo_id, facts)
        except Refused as refused:
            if not refused.field:
                raise
            form.complain(refused.field, str(refused))
        else:
            return redirect(url_for("notebook.photo", tank_id=tank_id, photo_id=photo_id), 303)
    page = AddPage(
        desk=desk,
        form=form,
        room=Room(used_mb=0.0, whole_mb=0.0),
        adult=desk.visitor.is_adult,
        like=photo_shown(found, desk.site.zone)
        if sees_all() or found.state is PhotoState.SHOWN
        else None,
    )
    return render_template("notebook/fix_photo.html", page=page, photo_id=photo_id), shown(form)


def _change(tank_id: int, photo_id: int, facts: PhotoFacts) -> None:
    with database().writing() as session:
        photos.change(session, tank_id, photo_id, facts, visitor=visitor(), now=now())
    flash("Saved.", "saved")


@bp.post("/tank/<int:tank_id>/notebook/photo/<int:photo_id>/date")
def date_photo(tank_id: int, photo_id: int) -> ResponseReturnValue:
    """It was taken when the camera says."""
    with database().reading() as session:
        zone = zone_of(session, tank_id)
        found = photos.just_added(session, tank_id, photo_id, keeper=sees_all(), now=now())
    try:
        said = datetime.strptime(request.form.get("taken", ""), _CAMERA_FORM)  # noqa: DTZ007
        taken_at = wall_time(said, zone)
    except ValueError:
        raise Refused("Pick the time of the photo with Fix.") from None
    facts = PhotoFacts(taken_at=taken_at, spot=found.spot, caption=found.caption)
    _change(tank_id, photo_id, facts)
    return redirect(url_for("notebook.photo", tank_id=tank_id, photo_id=photo_id), 303)


@bp.post("/tank/<int:tank_id>/notebook/photo/<int:photo_id>/take-back")
def take_back(tank_id: int, photo_id: int) -> ResponseReturnValue:
    """Take a photo back: helpers within 20 seconds, an adult at any time. It is erased."""
    since = photos.take_back(database(), tank_id, photo_id, visitor=visitor(), now=now())
    flash("The photo is taken back. The record holds it no more.", "saved")
    names = [copy.name for copy in keeping.copies(settings()) if copy.made_at >= since]
    if names and may_open("classes.copies"):
        flash(f"Older copies of the record may still hold it: {wording.listed(names)}.", "asks")
    return redirect(url_for("notebook.notebook", tank_id=tank_id), 303)


@bp.get("/tank/<int:tank_id>/photo/<int:photo_id>.jpg")
def picture(tank_id: int, photo_id: int) -> ResponseReturnValue:
    """The picture itself, for whoever may see it."""
    return _served(tank_id, photo_id, small=False)


@bp.get("/tank/<int:tank_id>/photo/<int:photo_id>-small.jpg")
def small_picture(tank_id: int, photo_id: int) -> ResponseReturnValue:
    """The picture in small."""
    return _served(tank_id, photo_id, small=True)


def _served(tank_id: int, photo_id: int, *, small: bool) -> Response:
    with database().reading() as session:
        content, digest = photos.picture(session, tank_id, photo_id, keeper=sees_all(), small=small)
    answer = Response(content, mimetype="image/jpeg")
    answer.set_etag(digest)
    answer.make_conditional(request)
    return answer
