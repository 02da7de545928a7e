"""Reading a request's JSON, whatever was sent."""

from collections.abc import Mapping
from typing import Any

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from rest_framework.exceptions import ParseError, UnsupportedMediaType
from rest_framework.parsers import JSONParser


class JSONBody(JSONParser):
    """JSON in UTF-8, of bounded length and depth; anything else is the sender's mistake, never ours."""

    def most(self) -> int:
        """Return how many bytes a body may have."""
        return int(settings.DATA_UPLOAD_MAX_MEMORY_SIZE or 0)

    def parse(
        self, stream: Any, media_type: str | None = None, parser_context: Mapping[str, Any] | None = None
    ) -> Any:
        context = dict(parser_context or {})
        if str(context.get("encoding", "utf-8")).lower() not in ("utf-8", "utf8", "us-ascii"):
            raise UnsupportedMediaType(media_type or "", "Write JSON in UTF-8.")
        length = str(context["request"].META.get("CONTENT_LENGTH") or "")
        if length.isdecimal() and int(length) > self.most():
            raise RequestDataTooBig
        try:
            return super().parse(stream, media_type=media_type, parser_context=context)
        except RecursionError:
            raise ParseError("This JSON is nested too deep.") from None
