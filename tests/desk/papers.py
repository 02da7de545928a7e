"""What a PDF says, for tests that read our paper."""

import io
from typing import Any

from pypdf import PdfReader


def paper(answer: Any) -> str:
    """Return the text of a PDF that was answered, its lines and blanks made one."""
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    pages = (page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)
    return " ".join(" ".join(pages).replace("\u00a0", " ").replace("\u2019", "'").split())
