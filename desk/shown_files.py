"""Files a page opens in the browser instead of taking them away."""

from django.http import HttpResponse
from django.utils.http import content_disposition_header

PDF = "application/pdf"
# Nothing runs in it, nothing is asked for, nobody frames it.
NOTHING = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"


def shown(content: bytes, name: str, content_type: str = PDF) -> HttpResponse:
    """Answer with a file under a name, to be shown where the browser can."""
    answer = HttpResponse(content, content_type=content_type)
    answer["Content-Disposition"] = str(content_disposition_header(False, name))
    return answer
