"""The back office for programs, changes and nightly runs."""

from scheduling.admin import changes, nightly_runs, programs  # noqa: F401  each registers its pages
