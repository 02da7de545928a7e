"""Print a summary: charts, paper and e-mail from figures alone, so that any process can do it.

Print only in a process that has forked its workers already: vl-convert and typst hang in a child forked after
their use. ``many`` starts fresh processes for a long list.
"""

import logging
import multiprocessing
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.template.loader import render_to_string

from common.processes import begin
from desk.charts.paper import light, svg
from desk.summaries.drawn import days_chart, months_chart
from desk.summaries.words import summary_words
from reports.paper.press import pdf, picture

ALONE = 12  # so few are done in this process: sooner than others are started, and in a worker or a request
WIDTHS = {"months": 400, "days": 620}  # px; half a sheet's width on paper, and all of it
SHARPER = 1.5

logger = logging.getLogger(__name__)


@dataclass(frozen=True)
class Job:
    """What a summary is printed from."""

    key: int
    figures: dict[str, Any]
    remark: str
    letterhead: dict[str, Any]
    paper: str
    call: list[str]
    address: str
    on: date


@dataclass(frozen=True)
class Printed:
    """A summary as it goes out. ``pictures`` are shown in the e-mail by their names."""

    key: int
    subject: str
    text: str
    html: str
    pdf: bytes
    pictures: dict[str, bytes]


@dataclass(frozen=True)
class Unprinted:
    """A summary that couldn't be printed, and why."""

    key: int
    error: str


def tried(job: Job) -> Printed | Unprinted:
    """Print one; what is wrong with it keeps none of the others back."""
    try:
        return printed(job)
    except Exception as error:  # whatever it is, it is this summary's
        logger.exception("Summary %s couldn't be printed", job.key)
        return Unprinted(job.key, f"{type(error).__name__}: {error}")


def printed(job: Job) -> Printed:
    """Print one."""
    words = summary_words(job.figures, remark=job.remark)
    charts = _charts(job.figures)
    context = {
        "words": words,
        "company": job.letterhead,
        "call": job.call,
        "address": job.address,
        "charts": [
            {"name": name, "alt": chart["description"], "width": WIDTHS[name]}
            for name, (chart, _) in charts.items()
        ],
    }
    return Printed(
        key=job.key,
        subject=f"{words['title']}: {words['client']}",
        text=render_to_string("desk/summaries/letter.txt", context),
        html=render_to_string("desk/summaries/letter.html", context),
        pdf=pdf("summary", _paper(job, words, charts), on=job.on),
        pictures={
            name: picture(drawing, width=WIDTHS[name], sharper=SHARPER)
            for name, (_, drawing) in charts.items()
        },
    )


def many(jobs: Sequence[Job]) -> Iterator[Printed | Unprinted]:
    """Print many, in the order they are ready; a long list in as many fresh processes as there are cores."""
    if len(jobs) <= ALONE:
        yield from map(tried, jobs)
        return
    fresh = multiprocessing.get_context("spawn")
    workers = max(1, len(os.sched_getaffinity(0)))
    with ProcessPoolExecutor(workers, mp_context=fresh, initializer=begin) as pool:
        yield from pool.map(tried, jobs, chunksize=8)


def _charts(kept: dict[str, Any]) -> dict[str, tuple[dict[str, Any], str]]:
    """Return each chart's definition and drawing by name."""
    drawn = {"months": months_chart(kept), "days": days_chart(kept)}
    return {
        name: (chart, svg(chart, width=WIDTHS[name])) for name, chart in drawn.items() if chart is not None
    }


def _paper(job: Job, words: dict[str, Any], charts: dict[str, tuple[dict[str, Any], str]]) -> dict[str, Any]:
    return {
        **words,
        "company": job.letterhead,
        "paper": job.paper,
        "call": job.call,
        "key": {"used": light()["accent"], "found": light()["keep"]},
        "charts": {
            name: {"svg": drawing, "alt": chart["description"]} for name, (chart, drawing) in charts.items()
        },
    }
