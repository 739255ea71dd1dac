"""The roles in which people come to the pages."""

from enum import StrEnum


class Role(StrEnum):
    """What somebody is here for."""

    STRANGER = "stranger"
    """Nobody is signed in on this browser."""
    HELPER = "helper"
    """A pupil, on a device that an adult unlocked for a class."""
    TECHNICIAN = "technician"
    """An adult who does jobs, tests and equipment on assigned tanks."""
    COORDINATOR = "coordinator"
    """An adult who looks over many tanks and sees no pupils."""
    KEEPER = "keeper"
    """A parent or teacher: everything on their tanks."""
