"""For the whole suite: a loaded machine is slow, not wrong, so examples have no deadline."""

import pytest
from hypothesis import settings

from tests import server

settings.register_profile("suite", deadline=None)
settings.load_profile("suite")


def pytest_configure(config: pytest.Config) -> None:
    """One server for all processes of a run whose records lie on PostgreSQL."""
    if server.WHOLE_RUN and not hasattr(config, "workerinput"):
        server.socket()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What is about SQLite alone is left out where records lie on PostgreSQL."""
    if server.WHOLE_RUN:
        for item in items:
            for marker in item.iter_markers("sqlite_only"):
                item.add_marker(pytest.mark.skip(reason=f"SQLite alone: {marker.args[0]}"))
