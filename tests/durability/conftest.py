from tests.web.conftest import app, clock, record
from tests.web.stories.conftest import place

__all__ = ["app", "clock", "place", "record"]
