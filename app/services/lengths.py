"""How long an animal is in a photo with a ruler, and that length as an entry."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.domain.wording import length_text
from app.knowledge.load import load
from app.science.picture_length import LengthInPicture, Point, length_in_picture
from app.services import photos, sites
from app.services.entries import Saved, Stamp
from app.services.livestock import animals
from app.services.photos import Photo
from app.services.transaction import one_transaction
from app.storage.models.notebook import PhotoMeasure

POINTS = 4
"""Two on the ruler, then the mouth and the end of the tail."""
LONGEST_CM = 200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Four points in shares of the picture's width and height, 0 to 1, and what lies between.

    `wide` is how many pixels wide the picture was on the page where they were set.
    """

    points: tuple[Point, ...]
    ruler_cm: float
    wide: int


def length(photo: Photo, measured: Measured) -> LengthInPicture:
    """The length of the animal.

    Raises:
        Refused: If points are lacking or outside, or the ruler's are too near to each other.
    """
    if len(measured.points) != POINTS:
        raise Refused("Set four points: two on the ruler, then the mouth and the tail.")
    if not all(0.0 <= x <= 1.0 and 0.0 <= y <= 1.0 for x, y in measured.points):
        raise Refused("A point lies outside the picture. Set it again.")
    if not 0.0 < measured.ruler_cm <= LONGEST_CM:
        raise Refused(f"Enter how many cm lie between the points, up to {LONGEST_CM:g}.")
    tall = photo.height / photo.width
    first, second, mouth, tail = ((x, y * tall) for x, y in measured.points)
    slip = load().value("photo.tap-pixels") / measured.wide
    try:
        return length_in_picture((first, second), measured.ruler_cm, (mouth, tail), slip)
    except ValueError:
        raise Refused(
            "The two points on the ruler are too near to each other. Take marks further apart."
        ) from None


def save(
    session: Session,
    stamp: Stamp,
    photo_id: int,
    group_id: int,
    measured: Measured,
    *,
    now: datetime,
) -> Saved:
    """Write the length down as one animal of a group that was measured at the time of the photo.

    Raises:
        NotFound: If the tank has no such photo or group.
        Refused: If no length comes out.
        TokenReused: If the same form was saved before with other values.
    """
    photo = photos.photo(session, stamp.tank_id, photo_id, keeper=True)
    found = length(photo, measured)
    site = sites.site(session, stamp.tank_id)
    between = f"{length_text(site, found.low)} to {length_text(site, found.high)}"
    with one_transaction(session):
        saved = animals.measure(
            session,
            stamp,
            group_id,
            1,
            round(found.best, 2),
            note=f"Read in a photo: {between}.",
            now=now,
        )
        if saved.fresh:
            session.add(
                PhotoMeasure(
                    entry_id=saved.entry_id,
                    photo_id=photo_id,
                    ruler_cm=measured.ruler_cm,
                    points=points_text(measured.points),
                )
            )
    return saved


def points_text(points: Sequence[Point]) -> str:
    """Points as kept: "0.1234,0.5678 0.2000,0.5700"."""
    return " ".join(f"{x:.4f},{y:.4f}" for x, y in points)
