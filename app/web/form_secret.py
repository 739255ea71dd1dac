"""Secrets that a form makes: sent twice, it makes the same one, though only a hash is kept."""

import base64
import hashlib
import hmac
from typing import Final

from app.web.request import settings

_BYTES: Final = 24


def secret_of_form(purpose: str, form_token: str) -> str:
    """192 bits as text that nobody can work out without the secret of this installation.

    Args:
        purpose: What it opens, so that no secret opens two things.
        form_token: The one-time token of the form that makes it.
    """
    key = settings().secret_key.encode()
    made = hmac.new(key, f"{purpose}: {form_token}".encode(), hashlib.sha256).digest()
    return base64.urlsafe_b64encode(made[:_BYTES]).decode()
