"""One photo: its page, its files, and removing it after having asked."""

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from common.errors import MovedOn
from desk import notices
from desk.access import PersonRequest, StaffRequest, signed_in, staff
from desk.shown_files import NOTHING, shown
from fleet.models import Photo
from fleet.photo_files import read_file
from fleet.selectors.photos import photos_for
from fleet.services.photos import remove_photo

JPEG = "image/jpeg"


@staff
@require_safe
def photo(request: StaffRequest, pk: int) -> HttpResponse:
    """Show one photo with where and when it was taken."""
    return render(request, "desk/photo.html", _context(request, _found(request, pk)))


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def photo_remove(request: StaffRequest, pk: int) -> HttpResponse:
    """Ask, and then remove a photo."""
    found = _found(request, pk)
    if request.method != "POST":
        return render(request, "desk/photo_remove.html", _context(request, found))
    back = _place(found)
    try:
        remove_photo(photo=found, by=request.user)
    except MovedOn as error:
        notices.warn(request, error.message)
    else:
        notices.say(request, f"The photo of zone {found.zone} was removed.")
    return redirect(back)


@signed_in
@require_safe
def photo_file(request: PersonRequest, pk: int, size: str) -> HttpResponse:
    """Send a file of a photo to who may see its row, to be kept by nobody on the way."""
    found = get_object_or_404(Photo.objects.visible_to(request.user), pk=pk)
    content = read_file(found.key, size)
    if content is None:
        raise Http404
    answer = shown(content, f"photo-{pk}.jpg", JPEG)
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Content-Security-Policy"] = f"{NOTHING}; sandbox"
    return answer


def _found(request: StaffRequest, pk: int) -> Photo:
    return get_object_or_404(photos_for(request.user).of_company(request.member.company_id), pk=pk)


def _place(photo: Photo) -> str:
    """Return the page a photo belongs on."""
    if photo.finding_id is not None:
        return reverse("desk:finding", args=[photo.finding_id])
    if photo.test is not None and photo.test.round_id is not None:
        return reverse("desk:round-zone", args=[photo.test.round_id, photo.zone_id])
    return reverse("desk:site", args=[photo.zone.controller.site_id])


def _context(request: StaffRequest, photo: Photo) -> dict[str, object]:
    site = photo.zone.controller.site
    return {"photo": photo, "site": site, "units": request.member.company.units, "back": _place(photo)}
