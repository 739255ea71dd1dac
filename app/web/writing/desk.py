"""What every writing page has before it: the tank, its record so far, the tiles, the clock."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from zoneinfo import ZoneInfo

from app.domain.calendar import is_doubled, local_day
from app.domain.guard import NewReading
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.rules.model import Evaluation
from app.services import sites, tanks, tasks
from app.services.access.people import Visitor
from app.services.school import rota, tiles
from app.services.school.tiles import Hands
from app.services.story import StoryLine
from app.web.fields import (
    PageForm,
    again_name,
    judge,
    unit_key,
    unit_name,
)
from app.web.request import database, now, show_state, visitor
from app.web.writing.readers import values_of_tube
from app.web.writing.stamped import StampedForm, tiles_for
from app.web.writing.staying import came_back

USUAL_VALUES = 8


@dataclass(frozen=True, kw_only=True)
class Desk:
    """The tank somebody writes about, and who is there.

    What is known of the tank is looked up when a page first asks for it: most saves never do.
    `site` is without its days. `on_duty` are the tiles whose day it is, on a device of their class
    only.
    """

    tank_id: int
    site: Site
    tiles: tuple[Hands, ...]
    visitor: Visitor
    now: datetime
    on_duty: tuple[int, ...] = ()

    @cached_property
    def _seen(self) -> tuple[TankSnapshot, Evaluation]:
        pupils = not self.visitor.is_adult
        with database().reading() as session:
            found = tasks.look(session, [self.tank_id], now=self.now, pupils=pupils)
        return found[self.tank_id]

    @property
    def snapshot(self) -> TankSnapshot:
        """The tank and its record so far."""
        return self._seen[0]

    @property
    def evaluation(self) -> Evaluation | None:
        """How the tank is, or None where it is closed."""
        return None if self.snapshot.tank.closed_on else self._seen[1]

    @property
    def zone_now(self) -> datetime:
        """The present wall-clock time at the tank."""
        return self.now.astimezone(ZoneInfo(self.site.zone))

    @property
    def temperature_unit(self) -> str:
        """The unit in which this household reads its thermometer, as the value of a choice."""
        return unit_key("°F" if self.site.fahrenheit else "°C", "")

    @property
    def people(self) -> dict[str, str]:
        """The tiles that are offered here: nicknames by the number of their author."""
        return {str(tile.author_id): tile.name for tile in tiles_for(self.tiles, self.visitor)}

    def usual(self, quantity: Quantity) -> tuple[float, ...]:
        """This tank's last values of a quantity, oldest first."""
        return tuple(r.best for r in self.snapshot.of(quantity)[-USUAL_VALUES:])

    def ready(self, form: StampedForm, line: StoryLine | None = None) -> None:
        """Offer the times and tiles on a form; an entry to fix chooses its own."""
        form.set_when(self.zone_now)
        if line is not None and not form.is_submitted() and not came_back():
            wall = line.happened_at.astimezone(self.zone_now.tzinfo)
            form.when.data = "pick"
            form.picked.data = wall.replace(tzinfo=None, second=0, microsecond=0)
            if is_doubled(form.picked.data, self.site.zone):
                form.turn.data = "second" if wall.fold else "first"
            known = line.hands_id in {tile.author_id for tile in self.tiles}
            form.hands.data = str(line.hands_id) if known else None
        form.set_hands(self.tiles, self.visitor, self.on_duty)

    def temperature(self, form: PageForm) -> tuple[NewReading, ...]:
        """The temperature of a form, judged against this tank's own."""
        quantity = Quantity.TEMPERATURE
        usual: tuple[float, ...] = ()
        if form[quantity.value].data:
            with database().reading() as session:
                usual = tanks.last_values(session, self.tank_id, quantity, USUAL_VALUES, self.now)
        return judge(form, quantity, usual=usual)


def at_desk(tank_id: int) -> Desk:
    """The desk for a tank; a page's head will show its state, unless the tank is closed.

    Raises:
        NotFound: If there is no such tank.
    """
    here = visitor()
    on_duty: tuple[Hands, ...] = ()
    with database().reading() as session:
        site = sites.without_days(session, tank_id)
        hands = tiles.hands(session, tank_id, here)
        if not here.is_adult:
            on_duty = rota.on_duty(session, tank_id, local_day(now(), site.zone), here.class_id)
    desk = Desk(
        tank_id=tank_id,
        site=site,
        tiles=hands,
        visitor=here,
        now=now(),
        on_duty=tuple(tile.author_id for tile in on_duty),
    )
    show_state(lambda: desk.evaluation)
    return desk


def values_of(line: StoryLine | None) -> dict[str, str]:
    """What was typed in the readings of an entry, as data for the fields of `reading_fields`."""
    data: dict[str, str] = {}
    for reading in line.readings if line else ():
        name = reading.quantity.value
        data[unit_name(name)] = unit_key(reading.unit, reading.basis)
        if reading.tube is None:
            data[name] = reading.typed
        elif reading.tube.is_color:
            data |= values_of_tube(reading)
        else:
            data[name], data[again_name(name)] = (s.typed for s in reading.tube.seen[:2])
    return data
