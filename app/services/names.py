"""Names and short texts as people type them: trimmed, there, and not too long."""

from app.domain.errors import Refused

NAME = 80
NOTE = 500


def required(text: str, ask: str, longest: int = NAME) -> str:
    """A text without space around it.

    Args:
        text: What was typed.
        ask: The sentence for an empty text, such as "Enter a name for the tank."
        longest: The most characters that are kept.

    Raises:
        Refused: If it is empty or too long.
    """
    if not text.strip():
        raise Refused(ask)
    return optional(text, longest)


def optional(text: str, longest: int = NAME) -> str:
    """A text without space around it, which may be empty.

    Raises:
        Refused: If it is too long.
    """
    trimmed = text.strip()
    if len(trimmed) > longest:
        raise Refused(f"“{trimmed[:20]}…” is too long: {longest} letters are the most.")
    return trimmed
