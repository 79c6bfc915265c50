"""What may happen after the answer went out. Nothing is lost when it does not: renditions are also made on demand."""

from concurrent.futures import Future, ThreadPoolExecutor

from tiles.models import Photo
from tiles.photos import services

# One thread: pictures are decoded one at a time in a process anyway.
_after_the_answer = ThreadPoolExecutor(max_workers=1, thread_name_prefix="renditions")


def prepare_soon(photo: Photo) -> "Future[None]":
    """Make a photo's renditions without letting the one who sent it wait."""
    return _after_the_answer.submit(services.prepare, photo, services.photo_store())
