"""For the whole suite: a loaded machine is slow, not wrong, so examples have no deadline."""

import gc
import os

import pytest
from hypothesis import settings

from tests import memory, server

settings.register_profile("suite", deadline=None)
settings.load_profile("suite")


def pytest_configure(config: pytest.Config) -> None:
    """One server for all processes of a run whose records lie on PostgreSQL; files in memory.

    Files of tests that passed have to go at once, or memory would fill up.
    """
    if hasattr(config, "workerinput"):
        return
    if server.WHOLE_RUN:
        server.socket()
    if config.getini("tmp_path_retention_policy") == "failed" and (folder := memory.roomy()):
        os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(folder))


def pytest_collection_finish() -> None:
    """What was imported and collected stays until the end: nobody has to look through it again."""
    gc.collect()
    gc.freeze()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What is about SQLite alone is left out where records lie on PostgreSQL."""
    if server.WHOLE_RUN:
        for item in items:
            for marker in item.iter_markers("sqlite_only"):
                item.add_marker(pytest.mark.skip(reason=f"SQLite alone: {marker.args[0]}"))
