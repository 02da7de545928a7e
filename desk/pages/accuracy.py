"""How good the numbers are: published cases, other libraries and targets, beside what is computed."""

import json
from functools import cache
from pathlib import Path
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from desk.access import StaffRequest, staff
from desk.figures import significant

WRITTEN = Path(__file__).parents[1] / "accuracy.json"


@staff
@require_safe
def accuracy(request: StaffRequest) -> HttpResponse:
    """Show what ``make prove`` last computed; a test holds it against what is computed now."""
    return render(request, "desk/accuracy.html", figures())


@cache
def figures() -> dict[str, list[dict[str, Any]]]:
    """Return what was written, read once."""
    found: dict[str, list[dict[str, Any]]] = json.loads(WRITTEN.read_text())
    for one in found["cases"]:
        one |= {"shown": _plain(one["computed"], 5), "printed": _plain(one["printed"], 6)}
    for one in found["libraries"]:
        one["shown"] = _plain(one["largest"], 2)
    for one in found["targets"]:
        one |= {name: f"{100 * one[name]:.2f} %" for name in ("adequacy", "excess")}
    return found


def _plain(value: float, digits: int) -> str:
    """Return a number with so many figures, written out: no powers of ten, the smallest as below 0.0001."""
    if 0 < abs(value) < 0.0001:
        return "below 0.0001"
    return f"{significant(value, digits):,.0f}" if abs(value) >= 10**digits else f"{value:.{digits}g}"
