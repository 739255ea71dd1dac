"""Estimates that run beside a tank: low, best and high, with what they rest on. Pure functions.

An estimate may raise a task and never clears one. It is never shown as measured.
"""
