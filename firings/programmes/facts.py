"""What a person says of a programme."""

from dataclasses import dataclass

from firings.programmes.segments import Segment


@dataclass(frozen=True, slots=True)
class ProgrammeFacts:
    """A programme as typed."""

    name: str
    segments: tuple[Segment, ...]
    note: str = ""
