"""Files over the interface: bytes sent as they are."""

from typing import Any

from rest_framework.renderers import BaseRenderer


class AsItIs(BaseRenderer):
    """A file of one type; a subclass names its media type and format."""

    charset = None
    render_style = "binary"

    def render(self, data: Any, accepted_media_type: Any = None, renderer_context: Any = None) -> bytes:
        return bytes(data)
