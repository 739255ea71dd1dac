"""Follow all links from a page, as far as they stay in the application."""

import re
from collections import Counter
from collections.abc import Callable, Iterator
from functools import partial
from html import unescape
from urllib.parse import urljoin, urlsplit

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.exceptions import HTTPException
from werkzeug.test import TestResponse

_HREF = re.compile(r'<(?:a|img|image)\b[^>]*?\s(?:href|src)="([^"]+)"')


def crawl(
    client: FlaskClient, *starts: str, same: int, kind_of: Callable[[str], str] | None = None
) -> Iterator[tuple[str, str, TestResponse]]:
    """Each page that links reach, once: (address, where the link stood, answer).

    Of the addresses of one kind as many as `same` are opened; `kind_of` tells it from a path, and
    without it the endpoint of the client's application is it. Pictures are links too.
    """
    kind_of = kind_of or partial(endpoint_of, client.application)
    waiting = [(start, "the start") for start in starts]
    known = set(starts)
    opened: Counter[str] = Counter()
    while waiting:
        url, found_on = waiting.pop(0)
        answer = client.get(url)
        yield url, found_on, answer
        for target in _targets(answer):
            there = urlsplit(urljoin(f"http://localhost{url}", target))
            address = there.path + (f"?{there.query}" if there.query else "")
            if there.netloc != "localhost" or address in known:
                continue
            known.add(address)
            kind = kind_of(there.path)
            if kind != "static" and opened[kind] < same:
                opened[kind] += 1
                waiting.append((address, url))


def _targets(answer: TestResponse) -> list[str]:
    if answer.status_code in {301, 302, 303}:
        return [answer.location]
    if answer.mimetype == "text/html":
        return [unescape(href) for href in _HREF.findall(answer.text)]
    return []


def endpoint_of(app: Flask, url: str) -> str:
    """The endpoint of an address; one that no rule knows stands for itself."""
    path = urlsplit(url).path
    try:
        found, _ = app.url_map.bind("localhost").match(path)
    except HTTPException:
        return path
    return str(found)
