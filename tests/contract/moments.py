"""A moment for tests that need one but do not care which."""

from datetime import UTC, datetime

MOMENT = datetime(2026, 5, 11, 9, 0, tzinfo=UTC)
