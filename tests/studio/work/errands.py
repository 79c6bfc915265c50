"""Pieces of work for the tests of the worker."""

from django_tasks import task

done: list[str] = []
refusals: list[Exception] = []


@task
def note(words: str) -> str:
    """Something that goes well."""
    done.append(words)
    return words


@task
def trip(words: str) -> str:
    """Something that fails as often as there are refusals left."""
    if refusals:
        raise refusals.pop()
    done.append(words)
    return words
