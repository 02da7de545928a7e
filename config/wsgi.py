"""The entry point for gunicorn."""

import os
from typing import Any

import django
from django.core.handlers.wsgi import WSGIHandler, WSGIRequest


class Request(WSGIRequest):
    """A request whose Content-Type may name anything as its character set."""

    def _set_content_type_params(self, meta: dict[str, Any]) -> None:
        try:
            super()._set_content_type_params(meta)  # type: ignore[misc]
        except (LookupError, ValueError):
            self._encoding = None  # it named a codec that is none for text, such as rot13


class Handler(WSGIHandler):
    request_class = Request


os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup(set_prefix=False)
application = Handler()
