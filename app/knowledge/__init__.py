"""Sourced numbers and texts: data files, checked when they are read."""
