"""What tests with photos share."""

import io
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.tiles.photos import corpus
from tiles.models import Photo
from tiles.photos import services


@pytest.fixture
def files_kept(photo_store: Path) -> Callable[[], list[Path]]:
    """The originals on disk."""
    return lambda: [path for path in (photo_store / "originals").rglob("*") if path.is_file()]


@pytest.fixture
def stored(recorder) -> Callable[..., Photo]:
    """Store a photo as the recorder: a picture of its own each time unless its bytes are given."""
    taken = iter(range(1, 1000))

    def store(content: bytes | None = None, **given: object) -> Photo:
        content = content or corpus.noisy_jpeg(64, 48, seed=next(taken))
        photo = services.store_photo(io.BytesIO(content), by=recorder, **given)
        photo.refresh_from_db()  # it was looked at since
        return photo

    return store
