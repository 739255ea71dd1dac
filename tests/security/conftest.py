"""One house for all tests that leave it as it was."""

from collections.abc import Iterator

import pytest

from tests.security.house import House, house


@pytest.fixture(scope="session")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A lived-in record with somebody in each role and behind each kind of link."""
    with house(tmp_path_factory.mktemp("home")) as made:
        yield made


@pytest.fixture(autouse=True)
def _as_it_was(request: pytest.FixtureRequest) -> Iterator[None]:
    """Put the record of the house back after each test that used it."""
    yield
    if "home" in request.fixturenames:
        found = request.getfixturevalue("home")
        assert isinstance(found, House)
        found.put_back()
