"""What is said of a photo: when, by whom, from which spot, in some words."""

from collections.abc import Sequence
from typing import Self

from flask import request
from flask_wtf.file import FileField
from wtforms import StringField
from wtforms.validators import Length

from app.domain.errors import Refused
from app.domain.photo import Picture
from app.services import photos
from app.services.photos import CAPTION, SPOT, USUAL_SPOTS, Photo, PhotoFacts
from app.web.fields import ChoiceField
from app.web.writing.desk import Desk
from app.web.writing.stamped import StampedForm

_MOST_SPOTS = 10


class PhotoForm(StampedForm):
    """A photo with its spot and some words."""

    file = FileField(
        "Photo or drawing",
        description="No faces, please: only the tank. JPEG, PNG or WebP, up to 12 MB.",
    )
    spot = ChoiceField(
        "From which spot?", noun="the spot", default="",
        description="Photos from one spot stand side by side later.",
    )  # fmt: skip
    new_spot = StringField(
        "Or name another spot",
        [Length(max=SPOT, message=f"Use {SPOT} letters at most.")],
    )
    caption = StringField(
        "What it shows, in a few words",
        [Length(max=CAPTION, message=f"Use {CAPTION} letters at most.")],
        description="Names of animals and plants, never of people.",
    )

    @classmethod
    def at(cls, desk: Desk, known: Sequence[str], photo: Photo | None = None) -> Self:
        """The form for this tank, empty or with what is said of a photo."""
        asked = request.args.get("spot", "")
        data = {"spot": asked}
        if photo is not None:
            data = {"spot": photo.spot, "caption": photo.caption}
        form = cls(data=data)
        offered = dict.fromkeys((*known[:_MOST_SPOTS], *USUAL_SPOTS))
        if data["spot"]:
            offered = dict.fromkeys((data["spot"], *offered))
        form.spot.choices = {"": "No spot"} | {s: s[:1].upper() + s[1:] for s in offered}
        desk.ready(form)
        if photo is not None and not form.is_submitted():
            there = photo.taken_at.astimezone(desk.zone_now.tzinfo)
            form.when.data = "pick"
            form.picked.data = there.replace(tzinfo=None, second=0, microsecond=0)
            form.turn.data = "second" if there.fold else "first"
        return form

    def facts(self, desk: Desk) -> PhotoFacts | None:
        """What is said, or None with a sentence beside a field."""
        self.validate()
        taken_at = self.happened_at(desk.zone_now, desk.now)
        if self.errors or taken_at is None:
            return None
        return PhotoFacts(
            taken_at=taken_at,
            spot=self.text("new_spot") or self.spot.data or "",
            caption=self.text("caption"),
        )

    def picture(self) -> Picture | None:
        """The picture in the file, or None with a sentence beside the field."""
        content = self.file.data.read() if self.file.data else b""
        if not content:
            self.complain("file", "Choose a photo.")
            return None
        try:
            return photos.read(content)
        except Refused as refused:
            self.complain("file", str(refused))
            return None
