"""A summary on paper: as it was sent, or a draft as it would be today; and what is told of it as JSON."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from desk.summaries.jobs import job_of
from desk.summaries.printing import Printed, many, printed
from desk.summaries.send import paper_name
from desk.summaries.words import shown
from reports.models import Summary, SummaryPaper
from reports.selectors.summary.states import DRAFT, LOOK, Standing


def paper_of_summary(summary: Summary) -> bytes:
    """Return the PDF as it was stored when it was printed, else as it would be printed now.

    Raises
    ------
    ValueError
        If there is nothing to tell.
    """
    kept = SummaryPaper.objects.filter(summary=summary).first()
    return bytes(kept.content) if kept is not None else printed(job_of(summary)).pdf


def put_papers(rows: Sequence[Standing], folder: Path) -> dict[int, Path]:
    """Write the PDF of every summary that has something to tell and can be printed; return them by client."""
    some = [row.summary for row in rows if row.summary is not None and has_figures(row.summary)]
    kept = dict(SummaryPaper.objects.filter(summary__in=some).values_list("summary", "content"))
    fresh = many([job_of(row) for row in some if row.pk not in kept])
    papers = {pk: bytes(content) for pk, content in kept.items()}
    papers |= {one.key: one.pdf for one in fresh if isinstance(one, Printed)}
    if some:
        folder.mkdir(parents=True, exist_ok=True)
    files = {}
    for row in (row for row in some if row.pk in papers):
        path = folder / f"client-{row.client_id}-{paper_name(row)}"
        path.write_bytes(papers[row.pk])
        files[row.client_id] = path
    return files


def has_figures(summary: Summary) -> bool:
    """Tell whether a summary has anything to tell."""
    return bool(summary.figures) and not summary.figures.get("empty")


def as_dict(row: Standing, paper: Path | None) -> dict[str, Any]:
    """Return a client's summary by the names of the interface; without a paper it couldn't be printed.

    A draft a person should look at first is a draft, and ``look_at`` says why.
    """
    summary = row.summary
    figures = summary.figures if summary is not None else {}
    told = figures | {"shown": shown(figures)} if summary is not None and has_figures(summary) else figures
    unprinted = paper is None and summary is not None and has_figures(summary)
    look = row.state == LOOK
    error = "" if look else row.error
    return {
        "client": row.client.pk,
        "name": row.client.name,
        "state": DRAFT if look else row.state,
        "look_at": row.error if look else None,
        "figures": told,
        "pdf": str(paper.resolve()) if paper is not None else None,
        "sent_at": row.sent_at.isoformat() if row.sent_at is not None else None,
        "error": error or ("It couldn't be printed." if unprinted else None),
        "letters": [
            {"to": letter.to, "state": letter.state, "error": letter.error} for letter in row.letters
        ],
    }
