"""A controller's card: what to key in, and a percent for every month; on screen and on paper."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.http import content_disposition_header
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from desk.access import StaffRequest, staff
from desk.cards import card_words, dated, letterhead, paper_of, year_words
from fleet.models import Controller
from reports.paper.press import pdf
from scheduling.selectors.card import controller_card
from scheduling.selectors.year_card import year_card


@staff
@require_safe
def card(request: StaffRequest, pk: int) -> HttpResponse:
    """Show what to key in at a controller, and its twelve months."""
    controller = _found(request, pk)
    return render(request, "desk/card.html", {"controller": controller} | _words(controller))


@staff
@require_safe
def card_paper(request: StaffRequest, pk: int, sheet: str) -> HttpResponse:
    """Send the card, or the twelve months, as PDF."""
    controller = _found(request, pk)
    company, on = controller.site.client.company, dated(controller)
    words = _words(controller) | {
        "company": letterhead(company),
        "paper": paper_of(company.units),
        "units": company.units,
    }
    made = pdf("card" if sheet == "card" else "year_card", words, on=on)
    name = slugify(f"{controller.site} {controller}", allow_unicode=True)[:60].strip("-") or "controller"
    answer = HttpResponse(made, content_type="application/pdf")
    answer["Content-Disposition"] = str(
        content_disposition_header(False, f"{sheet}-{name}-{on.isoformat()}.pdf")
    )
    return answer


def _found(request: StaffRequest, pk: int) -> Controller:
    controllers = Controller.objects.visible_to(request.user).select_related(
        "site__client__company", "site__watering_rule", "site__cell", "source"
    )
    return get_object_or_404(controllers, pk=pk)


def _words(controller: Controller) -> dict[str, Any]:
    units, on = controller.site.client.company.units, dated(controller)
    return {
        "card": card_words(controller_card(controller, night=on), units=units),
        "year": year_words(year_card(controller, on=on), units=units),
    }
