"""What can go wrong in a use case, each with a sentence a person can act on."""


class SillpondError(Exception):
    """Base of all refusals; `str(error)` is the sentence to show."""


class NotFound(SillpondError):
    """The thing asked for does not exist, or this person may not see it."""


class Conflict(SillpondError):
    """Somebody else was faster: what was read is no longer what stands there."""


class Refused(SillpondError):
    """The request is understood and not done; the sentence says why and what helps.

    `field` is what it is about, by the name that a draft has for it, or "".
    """

    def __init__(self, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.field = field


class CannotSave(SillpondError):
    """The record takes no change at this moment: nothing was saved, and nothing was lost."""


class CannotRead(SillpondError):
    """The record does not answer at this moment; the sentence says why, not what helps."""


class ChangedMeanwhile(Conflict):
    """An entry is not as it was when its form was opened; `entry_id` is what stands there now."""

    def __init__(self, entry_id: int) -> None:
        super().__init__("Somebody changed this entry meanwhile. Look at what stands there now.")
        self.entry_id = entry_id


class TokenReused(SillpondError):
    """The form was saved before with other values; `entry_id` is what stands there."""

    def __init__(self, entry_id: int) -> None:
        super().__init__("This form was saved before with other values.")
        self.entry_id = entry_id
