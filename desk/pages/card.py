"""A controller's card: what to key in, and a percent for every month; on screen and on paper."""

from collections.abc import Sequence
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from desk.access import StaffRequest, staff
from desk.apart import apart_at
from desk.cards import card_words, corrected_words, dated, letterhead, paper_of, year_words
from desk.shown_files import shown
from fleet.models import Controller
from fleet.selectors.corrections import correction_in_force
from reports.paper.press import pdf
from scheduling.selectors.card import controller_card
from scheduling.selectors.year_card import year_card


@staff
@require_safe
def card(request: StaffRequest, pk: int) -> HttpResponse:
    """Show what to key in at a controller, and its twelve months."""
    controller = _found(request, pk)
    corrected = _corrected(controller)
    context = {"controller": controller, "card": _card(controller, corrected), "year": _year(controller)}
    return render(request, "desk/card.html", context)


@staff
@require_safe
def card_paper(request: StaffRequest, pk: int, sheet: str) -> HttpResponse:
    """Send the card, or the twelve months, as PDF."""
    controller = _found(request, pk)
    company, on = controller.site.client.company, dated(controller)
    corrected = _corrected(controller)
    words = {
        "card": _card(controller, corrected),
        "company": letterhead(company),
        "paper": paper_of(company.units),
    }
    if sheet == "months":
        words["year"] = _year(controller, corrected)
    made = pdf("year_card" if sheet == "months" else "card", words, on=on)
    name = slugify(f"{controller.site} {controller}", allow_unicode=True)[:60].strip("-") or "controller"
    return shown(made, f"{sheet}-{name}-{on.isoformat()}.pdf")


def _found(request: StaffRequest, pk: int) -> Controller:
    controllers = Controller.objects.visible_to(request.user).of_company(request.member.company_id)
    related = ("site__client__company", "site__watering_rule", "site__cell", "source")
    return get_object_or_404(controllers.select_related(*related), pk=pk)


def _corrected(controller: Controller) -> list[str]:
    units = controller.site.client.company.units
    return corrected_words(correction_in_force(controller.site, night=dated(controller)), units=units)


def _card(controller: Controller, corrected: list[str]) -> dict[str, Any]:
    units, night = controller.site.client.company.units, dated(controller)
    apart = apart_at([controller], night=night, units=units)[controller.pk]
    card = controller_card(controller, night=night)
    return card_words(card, units=units, apart=apart, corrected=corrected)


def _year(controller: Controller, corrected: Sequence[str] = ()) -> dict[str, Any]:
    units = controller.site.client.company.units
    return year_words(year_card(controller, on=dated(controller)), units=units, corrected=corrected)
