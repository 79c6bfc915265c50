"""Tests of looking use the real list of work too."""

from tests.studio.work.conftest import listed  # noqa: F401
