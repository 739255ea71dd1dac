"""Addresses of many pages that differ in one number: the rows of a list lead to them."""

from collections.abc import Callable
from typing import Any, Final

from flask import url_for

from app.web.request import LARGEST_ID

Addresses = Callable[[int], str]
# stands in the place of the number while the address is built
_MARK: Final = str(LARGEST_ID)


def numbered(endpoint: str, name: str, **fixed: int) -> Addresses:
    """The addresses of a page by the number called `name`, built once for a whole list."""
    values: dict[str, Any] = {**fixed, name: LARGEST_ID}
    before, after = url_for(endpoint, **values).rsplit(_MARK, 1)
    return lambda number: f"{before}{number}{after}"
