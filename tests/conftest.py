"""Settings of all tests: property tests draw the same examples on every machine, so that a red check is red again."""

from hypothesis import settings

settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.load_profile("repeatable")
