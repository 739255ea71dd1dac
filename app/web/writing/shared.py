"""What the work shared with another tank: asked only where there is another one."""

from typing import Final

from wtforms import SelectField, SelectMultipleField
from wtforms.widgets import CheckboxInput

from app.domain.trace import Shared, Sharing, Way
from app.services import tanks, trace
from app.services.story import StoryLine
from app.web.fields import choices_of
from app.web.request import database
from app.web.writing.desk import Desk
from app.web.writing.stamped import StampedForm

_JOINT: Final = "-"
_WAYS: Final = {
    (Shared.NET, Way.ALSO): "A net that was also used there",
    (Shared.EQUIPMENT, Way.ALSO): "A siphon, bucket or other gear that was also used there",
    (Shared.WATER, Way.FROM): "Water from there",
    (Shared.PLANTS, Way.FROM): "Plants from there",
    (Shared.FISH, Way.FROM): "Fish from there",
    (Shared.EQUIPMENT, Way.FROM): "A filter, heater or other piece from there",
}


class SharedForm(StampedForm):
    """A form that also asks which other tank the work shared something with."""

    other_tank = SelectField(
        "Which other tank", choices={"": "No other tank"}, default="", validate_choice=False
    )
    things = SelectMultipleField(
        "What was shared",
        choices={_JOINT.join(key): words for key, words in _WAYS.items()},
        option_widget=CheckboxInput(),
    )

    def ask_shared(self, desk: Desk, line: StoryLine | None = None) -> None:
        """Offer an adult the other tanks, with what an entry to fix says."""
        if not desk.visitor.is_adult:
            return
        with database().reading() as session:
            lines = tanks.tank_lines(session, desk.visitor.tank_ids)
            before = trace.shared_by(session, line.entry_id) if line is not None else ()
        others = {str(t.id): t.name for t in lines if t.id != desk.tank_id}
        self.other_tank.choices = {"": "No other tank"} | others
        if before and not self.is_submitted():
            self.other_tank.data = str(before[0].other_tank_id)
            self.things.data = [_JOINT.join((s.what, s.way)) for s in before]

    @property
    def asks_shared(self) -> bool:
        """Whether there is another tank to share something with."""
        return len(choices_of(self.other_tank)) > 1

    @property
    def shared_open(self) -> bool:
        """Whether something stands in these fields, or is to be put right there."""
        return bool(self.other_tank.data or self.things.data or self.things.errors)

    def validate(self, extra_validators: object = None) -> bool:
        """Check the fields: a tank goes with what was shared, and the other way round."""
        super().validate(extra_validators)
        if not self.asks_shared:
            return not self.errors
        if self.other_tank.data and self.other_tank.data not in choices_of(self.other_tank):
            self.complain("other_tank", "Choose a tank from the list.")
        if self.other_tank.data and not self.things.data:
            self.complain("things", "Tick what was shared with that tank.")
        if self.things.data and not self.other_tank.data:
            self.complain("other_tank", "Choose the other tank.")
        return not self.errors

    def shared(self) -> tuple[Sharing, ...] | None:
        """What was shared; None where it was not asked."""
        if not self.asks_shared:
            return None
        if not self.other_tank.data:
            return ()
        chosen = (each.split(_JOINT) for each in self.things.data or ())
        other = int(self.other_tank.data)
        return tuple(Sharing(other, Shared(what), Way(way)) for what, way in chosen)
