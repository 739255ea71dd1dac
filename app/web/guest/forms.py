"""The sitter's form: what was seen and measured, and whether the packet went in."""

from typing import Any, Self

from flask_wtf.file import FileField
from wtforms import BooleanField, HiddenField
from wtforms.validators import Regexp

from app.domain.errors import Refused
from app.domain.guard import NewReading
from app.domain.photo import Picture
from app.domain.quantities import Quantity
from app.domain.sitter import Packet
from app.domain.snapshot import TankSnapshot
from app.services import photos
from app.services.sharing.sitter import Found, NewVisit
from app.web.fields import (
    NumberField,
    PageForm,
    judge,
    reading_fields,
    unit_key,
    unit_name,
    with_fields,
)
from app.web.writing.desk import USUAL_VALUES

MOST_SEEN = 999


class GuestForm(PageForm):
    """A form behind a link: its key stands beside it, see `manners`."""

    class Meta:
        """No session carries a token here."""

        csrf = False


class _VisitForm(GuestForm):
    packet = HiddenField("Packet", [Regexp(r"\d{0,3}\Z", message="Open this page again.")])
    given = BooleanField("It is in the water")
    seen = NumberField(
        "How many animals did you see?", noun="how many you saw", low=0, high=MOST_SEEN,
        whole=True, description="Leave it empty if you did not count.",
    )  # fmt: skip

    photo = FileField(
        "A photo of the tank, if you like",
        description="No faces, please: only the tank. JPEG, PNG or WebP, up to 12 MB.",
    )

    @classmethod
    def at(cls, snapshot: TankSnapshot, packet: Packet | None) -> Self:
        """An empty form for a visit; nothing that is measured is filled in."""
        unit = snapshot.site.unit_of(Quantity.TEMPERATURE)
        data: dict[str, Any] = {
            unit_name(Quantity.TEMPERATURE.value): unit_key(unit.symbol, unit.basis),
            "packet": "" if packet is None else str(packet.number),
        }
        return cls(data=data)

    def readings(self, snapshot: TankSnapshot) -> tuple[NewReading, ...]:
        """What was measured; what is held gets a sentence beside its field."""
        quantity = Quantity.TEMPERATURE
        usual = tuple(r.best for r in snapshot.of(quantity)[-USUAL_VALUES:])
        return judge(self, quantity, usual=usual)

    def picture(self) -> Picture | None:
        """The picture in the file, or None: there is none, or a sentence stands beside it."""
        content = self.photo.data.read() if self.photo.data else b""
        if not content:
            return None
        try:
            return photos.read(content)
        except Refused as refused:
            self.complain("photo", str(refused))
            return None

    def visit(self, found: Found, readings: tuple[NewReading, ...]) -> NewVisit:
        """What the form says; validate it first."""
        number = self.packet.data if self.given.data else ""
        seen = self.seen.number
        return NewVisit(
            found=found,
            packet=int(number) if number else None,
            seen=None if seen is None else int(seen),
            readings=readings,
        )


VisitForm = with_fields(
    _VisitForm,
    "VisitForm",
    reading_fields(
        Quantity.TEMPERATURE, "How warm is the water?", "Leave it empty if you did not look."
    ),
)
