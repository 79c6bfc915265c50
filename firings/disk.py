"""Files that a power cut cannot take back once they have their name."""

import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path


def move_into_place(arriving: Path, place: Path) -> None:
    """Give a file that is wholly on the disk its name, and force the name to the disk too."""
    made = [folder for folder in place.parents if not folder.exists()]
    place.parent.mkdir(parents=True, exist_ok=True)
    arriving.replace(place)
    folders = {place.parent, *(new.parent for new in made)}
    # At the same time: the file system then writes its journal once for all of them.
    with ThreadPoolExecutor(len(folders)) as at_once:
        list(at_once.map(fsync_folder, folders))


def fsync_folder(folder: Path) -> None:
    """Force a folder's list of names to the disk, where the system lets a folder be opened (Windows does not)."""
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
