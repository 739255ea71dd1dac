"""Sillpond: the record of a freshwater community tank, and what is due and why."""

__version__ = "0.1.0"
