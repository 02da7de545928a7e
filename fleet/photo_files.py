"""The files of photos: two JPEGs each, in the media directory, which no address leads into.

They are named by a random key, so that a name tells nothing and none is guessed.
"""

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

FULL, SMALL = "full", "small"
SIZES = (FULL, SMALL)


def name_of(key: str, size: str) -> str:
    """Return where a file of a photo lies, below the media directory."""
    return f"photos/{key[:2]}/{key}-{size}.jpg"


def keep_files(key: str, *, full: bytes, small: bytes) -> None:
    """Write both files of a photo; if one can't be written, neither stays."""
    try:
        for size, content in ((FULL, full), (SMALL, small)):
            default_storage.save(name_of(key, size), ContentFile(content))
    except BaseException:
        forget_files(key)
        raise


def forget_files(key: str) -> None:
    """Remove both files of a photo; one that is gone already is no fault."""
    for size in SIZES:
        default_storage.delete(name_of(key, size))


def read_file(key: str, size: str) -> bytes | None:
    """Return a file of a photo, None if it isn't there (a database put back without its media)."""
    try:
        with default_storage.open(name_of(key, size)) as file:
            return bytes(file.read())
    except FileNotFoundError:
        return None
