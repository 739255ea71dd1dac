"""Links for tests: made through the pages of the grown-up, opened by somebody without a name."""

import re
from html import unescape
from typing import Any

from flask import Flask

from tests.page_checker import CheckedClient
from tests.web.conftest import new_client
from tests.web.filling import save

FAMILY = "/tank/1/share/family"
SITTER = "/tank/1/share/sitter"
# a token of the right length that nobody made
INVENTED = "/v/" + "A" * 32


def made(adult: CheckedClient, form: str, **typed: Any) -> str:
    """The path of a link that was made through its form."""
    answer = save(adult, form, **typed)
    assert answer.status_code == 200, answer.text
    found = re.search(r"<code>http://localhost(/v/[\w-]{32})</code>", answer.text)
    assert found, "the page shows no address"
    return unescape(found[1])


def guest(app: Flask) -> CheckedClient:
    """Somebody with a link and nothing else."""
    return new_client(app)
