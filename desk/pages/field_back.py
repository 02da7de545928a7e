"""Taking back what was just entered on the field sheet."""

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from common.errors import BluestemError, NotAllowed
from desk import notices
from desk.access import StaffRequest, staff
from desk.field_words import entry_words
from scheduling.models import FieldEntry
from scheduling.services.taking_back import take_back


@staff
@require_POST
def undo_entry(request: StaffRequest, pk: int) -> HttpResponse:
    """Take one entry back; a second tap says that it is back already."""
    entries = FieldEntry.objects.visible_to(request.user).of_company(request.member.company_id)
    entry = get_object_or_404(entries.select_related("site__client"), pk=pk)
    words = entry_words(entry, request.member.company.units)
    try:
        done = take_back(entry=entry, by=request.user)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except BluestemError as error:
        notices.warn(request, f"{words}. {error.message}")
    else:
        notices.say(request, f"Taken back: {words}." if done else f"That was taken back already: {words}.")
    return redirect(f"{reverse('desk:field')}#site-{entry.site_id}")
