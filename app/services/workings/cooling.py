"""How a tank cools without its heater: told by two thermometer readings."""

from typing import Final

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, number
from app.knowledge.model import Knowledge
from app.science.heat import (
    energy_kwh_per_day,
    holding_power_w,
    hours_to_reach,
    loss_w_per_c,
    time_constant_h,
)
from app.services.workings import both_units, known
from app.services.workings.model import Ask, CannotWork, Given, Sum, Theme, Worked, Working
from app.services.workings.units import CELSIUS, CLOCK, LITERS

_DAY_H: Final = 24.0


class _Readings:
    """Two readings of a tank that nothing heats, in °C and hours."""

    def __init__(self, given: Given, knowledge: Knowledge) -> None:
        later = given.maybe("later")
        later_at = given.maybe("later_at")
        if later is None or later_at is None:
            name = "later" if later is None else "later_at"
            raise CannotWork(
                "Need one more thermometer reading at least an hour later, with its time.", name
            )
        self.first, self.later, self.room = given.number("first"), later, given.number("room")
        self.first_at = given.number("first_at")
        self.hours = (later_at - self.first_at) % _DAY_H
        if self.hours < knowledge.value("heater.apart-hours"):
            raise CannotWork("Read once more at least an hour after the first.", "later_at")
        if not min(self.first, self.room) < self.later < max(self.first, self.room):
            raise CannotWork(
                "The second reading must lie between the first and the room. Is the heater off, "
                "and the room’s temperature right?",
                "later",
            )

    def constant_h(self, off_c: float = 0.0) -> float | None:
        """The time constant, with the later reading off by so much; None where it has no end."""
        try:
            return time_constant_h(self.first, self.later + off_c, self.room, self.hours)
        except ValueError:
            return None


def _work(given: Given, snapshot: TankSnapshot, knowledge: Knowledge) -> Worked:  # noqa: ARG001
    read = _Readings(given, knowledge)
    line, net = given.number("line"), given.maybe("net")
    constant = read.constant_h() or 0.0
    hours = hours_to_reach(read.first, line, read.room, constant)
    first, later, room = (decimal(v, 1) for v in (read.first, read.later, read.room))
    sums = [
        Sum(
            "Time constant: the gap to the room shrinks to 37 of 100",
            f"{number(read.hours, 2)} ÷ ln(({first} − {room}) ÷ ({later} − {room})) =",
            f"{decimal(constant, 1)}{NBSP}h",
        )
    ]
    if 0.0 < hours < _NEVER:
        share = f"({number(line, 1)} − {room}) ÷ ({first} − {room})"
        sums.append(
            Sum(
                f"Hours to {decimal(line, 1)}{NBSP}°C",
                f"−{decimal(constant, 1)} × ln({share}) =",
                f"{decimal(hours, 1)}{NBSP}h",
            )
        )
    return Worked(
        answer=_answer(read, line, hours, constant),
        spread=_spread(read, line, knowledge),
        sums=(*sums, *_power(read, net, constant)),
        remarks=_REMARKS,
        basis="Newton’s law of cooling, in a room that stays as warm as it is. Glass and sand "
        "hold heat too, so that the true loss is a little larger.",
        cautions=("electricity", "heater"),
    )


_NEVER: Final = 24.0 * 365.0
_REMARKS: Final = (
    "A cover and a blanket around three sides keep warmth longer. Leave room for air.",
    "No hot water into the tank, none from a kettle: it warms one place far too fast.",
    "The filter’s bacteria need moving water: air or stirring counts before warmth.",
)


def _answer(read: _Readings, line: float, hours: float, constant: float) -> str:
    tells = f"Time constant {decimal(constant, 1)}{NBSP}h."
    if hours <= 0.0:
        return f"{both_units.warmth(line)} was reached with the first reading already. {tells}"
    if hours >= _NEVER:
        return f"It does not come to {both_units.warmth(line)}: the room is not that far. {tells}"
    return f"{both_units.warmth(line)} at about {_clock(read.first_at + hours)}. {tells}"


def _clock(hours: float) -> str:
    """Hours since midnight of the first reading as a time: "11:53 pm", with the days after it."""
    minutes = round(hours * 60.0)
    days, rest = divmod(minutes, 24 * 60)
    hour, minute = divmod(rest, 60)
    text = f"{hour % 12 or 12}:{minute:02d}{NBSP}{'am' if hour < 12 else 'pm'}"
    if not days:
        return text
    return f"{text} on the next day" if days == 1 else f"{text}, {days} days later"


def _spread(read: _Readings, line: float, knowledge: Knowledge) -> str:
    off = knowledge.value("heater.reading-off")
    outward = off if read.first > read.room else -off
    ends = []
    for each in (-outward, outward):
        constant = read.constant_h(each)
        if constant is None:
            return "The two readings are too near each other, or to the room. Read again later."
        ends.append(hours_to_reach(read.first, line, read.room, constant))
    if not ends[0] > 0.0 or ends[1] >= _NEVER:
        return ""
    times = " and ".join(_clock(read.first_at + hours) for hours in ends)
    return f"Between {times}, where the second reading is off by {decimal(off, 1)}{NBSP}°C."


def _power(read: _Readings, net: float | None, constant: float) -> tuple[Sum, ...]:
    if net is None or read.first <= read.room:
        return ()
    loss = loss_w_per_c(net, constant)
    hold = holding_power_w(read.first, read.room, loss)
    apart = decimal(read.first - read.room, 1)
    return (
        Sum(
            "Heat it loses",
            f"1.163 × {decimal(net, 1)} ÷ {decimal(constant, 1)} =",
            f"{decimal(loss, 1)}{NBSP}W for each °C",
        ),
        Sum(
            f"To hold {decimal(read.first, 1)}{NBSP}°C in this room",
            f"{decimal(loss, 2)} × {apart} =",
            f"{decimal(hold, 0)}{NBSP}W",
            f"= {decimal(energy_kwh_per_day(hold), 2)}{NBSP}kWh a day",
        ),
    )


def _line(snapshot: TankSnapshot, knowledge: Knowledge) -> float:
    own = snapshot.tank.own_range(Quantity.TEMPERATURE)
    if own is not None and own.low is not None:
        return own.low
    return knowledge.value("temperature.general-low")


COOLING = Working(
    slug="cooling",
    theme=Theme.WARMTH,
    title="How fast it cools",
    question="When will the tank be too cold after the heater stopped?",
    asks=(
        Ask(
            name="first", label="First reading", noun="the first reading", units=CELSIUS, low=0,
            high=45, quantity=Quantity.TEMPERATURE, hint="With the heater off.",
        ),
        Ask(
            name="first_at", label="Read at", noun="the time of the first reading", units=CLOCK,
            low=0, high=24, clock=True, hint="Such as 13:00 or 1:00 pm.",
        ),
        Ask(
            name="later", label="Second reading", noun="the second reading", units=CELSIUS, low=0,
            high=45, required=False, quantity=Quantity.TEMPERATURE,
            hint="At least an hour later. The longer apart, the better.",
        ),
        Ask(
            name="later_at", label="Read again at", noun="the time of the second reading",
            units=CLOCK, low=0, high=24, required=False, clock=True,
        ),
        Ask(
            name="room", label="The room", noun="the room’s temperature", units=CELSIUS, low=0,
            high=45, quantity=Quantity.TEMPERATURE,
        ),
        Ask(
            name="line", label="When will it be at", noun="the line to look out for",
            units=CELSIUS, low=0, high=45, known=_line, quantity=Quantity.TEMPERATURE,
        ),
        Ask(
            name="net", label="Water in the tank", noun="the water in the tank", units=LITERS,
            low=0.1, high=20000, required=False, known=known.net_l,
            hint="For the watts it loses.",
        ),
    ),
    work=_work,
    more=(("Write down the temperature", "writing.test"),),
)  # fmt: skip
