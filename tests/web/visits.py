"""What tests do with pages beside fetching them: find a form's token, read what is visible."""

import re
from html import unescape

from justhtml import JustHTML

from tests.page_checker import CheckedClient

NBSP = "\u00a0"


def csrf_of(client: CheckedClient, url: str) -> str:
    """The token of the first form on a page."""
    found = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', client.get(url).text)
    assert found, f"{url} has no form"
    return found[1]


def words_of(html: str) -> str:
    """The visible text of a page's body, with plain spaces."""
    body = html[html.index("<body") :]
    text = re.sub(r"<(script|style)\b.*?</\1>", " ", body, flags=re.DOTALL)
    text = unescape(re.sub(r"<[^>]+>", " ", text)).replace(NBSP, " ")
    return re.sub(r"\s+", " ", text)


def seen(client: CheckedClient, url: str) -> str:
    """The visible text of a page that has to answer with 200."""
    answer = client.get(url)
    assert answer.status_code == 200, f"{url} answered {answer.status_code}"
    return words_of(answer.text)


def fields_of(html: str) -> dict[str, str]:
    """What a browser would send of the page's first form that posts, left as it came."""
    form = JustHTML(html, sanitize=False).query("main form[method=post]")[0]
    values = {}
    for field in form.query("input"):
        about = field.attrs or {}
        if about.get("type") in {"radio", "checkbox"} and "checked" not in about:
            continue
        values[about.get("name") or ""] = about.get("value") or ""
    return {name: value for name, value in values.items() if name}
