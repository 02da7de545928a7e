"""Finding anything by its words, across everything a person may see."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from desk.access import PersonRequest, signed_in
from desk.company import working_membership
from desk.found import section
from fleet.selectors.people import DECIDE
from scheduling.selectors.search import A_FEW, KINDS, MOST, search
from scheduling.selectors.search_words import LONGEST, words_of


@signed_in
@require_safe
def find(request: PersonRequest) -> HttpResponse:
    """Show what was found by kind, or all of one kind."""
    member = working_membership(request)
    words = words_of(request.GET.get("words", ""))
    kind = request.GET.get("kind", "")
    only = kind if kind in {k.key for k in KINDS} else ""
    groups = (
        []
        if words.too_short
        else search(
            request.user,
            words,
            company_id=member.company_id if member else None,
            decides=member is not None and member.role in DECIDE,
            only=only,
            most=MOST if only else A_FEW,
        )
    )
    context = {
        "words": words,
        "looked_for": words.text,
        "only": only,
        "longest": LONGEST,
        "sections": [section(group, words=words.text, staff=member is not None) for group in groups],
    }
    return render(request, "desk/search.html", context)
