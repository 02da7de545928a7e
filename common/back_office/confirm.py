"""Doing something to chosen rows, after a page that says what it will do."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import admin, messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.template.response import TemplateResponse

from common.errors import BluestemError

AT_ONCE = 100


@dataclass(frozen=True)
class Asked:
    """What a page asks before anything is done."""

    question: str
    tells: Sequence[str]
    button: str


def ask(
    model_admin: admin.ModelAdmin,
    request: HttpRequest,
    rows: QuerySet[Any],
    *,
    asked: Callable[[list[Any]], Asked],
    do: Callable[[list[Any]], str],
) -> HttpResponse | None:
    """Ask first; once that was answered do it, write it in the log of every row and say how it went.

    Parameters
    ----------
    rows
        The rows chosen in the list.
    asked
        What to ask about these rows.
    do
        Does it and returns what to say. A refusal is said instead, and nothing logged.
    """
    chosen = list(rows[: AT_ONCE + 1])
    if len(chosen) > AT_ONCE:
        model_admin.message_user(request, f"Choose {AT_ONCE} rows at the most.", messages.ERROR)
        return None
    if request.POST.get("confirmed") != "yes":
        return _page(model_admin, request, chosen, asked(chosen))
    try:
        said = do(chosen)
    except BluestemError as refused:
        model_admin.message_user(request, refused.message, messages.ERROR)
        return None
    for row in chosen:
        model_admin.log_change(request, row, said)
    model_admin.message_user(request, said, messages.SUCCESS)
    return None


def counted(number: int, one: str, many: str) -> str:
    """Return a number with its word."""
    return f"{number} {one if number == 1 else many}"


def _page(
    model_admin: admin.ModelAdmin, request: HttpRequest, chosen: list[Any], asked: Asked
) -> HttpResponse:
    context = {
        **model_admin.admin_site.each_context(request),
        "opts": model_admin.opts,
        "title": asked.question,
        "asked": asked,
        "chosen": chosen,
        "action": request.POST["action"],
    }
    return TemplateResponse(request, "back_office/confirm.html", context)
