"""`{% load running %}`: of tiles that ran off, what was seen and what is to be expected, in plain words."""

from typing import Protocol

from django import template

from firings.estimate import Estimate
from tiles.ranges import running

register = template.Library()


class Tries(Protocol):
    """Judged tries of a stack, and the chance of running off; no chance below the bar."""

    @property
    def ran_off(self) -> int: ...
    @property
    def n(self) -> int: ...
    @property
    def chance(self) -> Estimate | None: ...


@register.filter
def seen_running(tries: Tries) -> str:
    """None of 4 ran off."""
    return running.seen_words(tries.ran_off, tries.n)


@register.filter
def running_words(tries: Tries) -> str:
    """None of 4 ran off; from like tiles, about 2 in 100, could be up to 19."""
    return running.running_words(tries.ran_off, tries.n, tries.chance)


@register.filter
def expected_running(chance: Estimate) -> str:
    """From like tiles, about 2 in 100, could be up to 19."""
    return running.expected_words(chance)


@register.simple_tag
def like_tiles() -> str:
    """What like tiles are."""
    return running.LIKE_TILES
