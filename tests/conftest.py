"""For the whole suite: a loaded machine is slow, not wrong, so examples have no deadline."""

from hypothesis import settings

settings.register_profile("suite", deadline=None)
settings.load_profile("suite")
