"""No file is taken in beyond what any file may hold; the rest of its form is read all the same."""

from typing import Any

from django.conf import settings
from django.core.files.uploadhandler import FileUploadHandler, SkipFile
from django.http import HttpRequest

TOLD = "files_over_the_limit"


class Bounded(FileUploadHandler):
    """Drops a file at the byte that is one too many, and remembers its name for who asks."""

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        super().new_file(*args, **kwargs)
        self.taken_in = 0

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        self.taken_in += len(raw_data)
        if self.taken_in > settings.UPLOAD_BYTES:
            if self.request is not None:
                vars(self.request).setdefault(TOLD, []).append((self.field_name, self.file_name))
            raise SkipFile
        return raw_data

    def file_complete(self, file_size: int) -> None:
        return None


def over_the_limit(request: HttpRequest, field: str) -> list[str]:
    """Return the names of the files of a field that were dropped for their size."""
    _ = request.FILES  # read the form first
    return [str(name) for of, name in vars(request).get(TOLD, []) if of == field]
