"""The real list of work, in place of doing everything at once."""

import pytest
from django_tasks import task_backends

from studio.management.commands.worker import StudioWorker


@pytest.fixture
def listed(settings, transactional_db) -> None:
    """Work is written down and waits for a worker, as in a studio."""
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    yield
    if hasattr(task_backends._connections, "default"):
        del task_backends._connections.default


@pytest.fixture
def work_all(listed):
    """Let a worker do all that can be done now."""
    return lambda: StudioWorker(batch=True).run()
