from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.record import Record, new_record


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    made = new_record(tmp_path)
    yield made
    made.database.close()
