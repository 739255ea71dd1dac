"""How far the filter has grown its bacteria."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Stage(StrEnum):
    """The stages of a maturing filter, as the tests show them."""

    IDLE = "idle"
    AMMONIA_UP = "ammonia_up"
    NITRITE_UP = "nitrite_up"
    NITRITE_DOWN = "nitrite_down"
    READY = "ready"


@dataclass(frozen=True, slots=True)
class StageReached:
    """A stage and the local day on which the tests first showed it."""

    stage: Stage
    on: date
