"""The page an invitation's link opens: choose a name and a password, or join with the account one has."""

from django.contrib.auth import login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from common.errors import MovedOn, NotAllowed, Refused
from desk import notices
from desk.company import pick_company
from fleet.models import Invitation, User
from fleet.selectors.people import unclaimed
from fleet.services.people import OWN_LINK, invitation_of, join


@sensitive_post_parameters("password", "again")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def welcome(request: HttpRequest, token: str) -> HttpResponse:
    """Show the invitation, or take the person in."""
    found = invitation_of(token)
    if found is None:
        return render(request, "desk/welcome_over.html", status=404)
    if request.method != "POST":
        return _page(request, found)
    person = request.user if isinstance(request.user, User) else None
    post = request.POST
    try:
        if person is None and post.get("password", "") != post.get("again", ""):
            raise Refused("The two passwords aren't the same.", field="again")
        user = join(token=token, person=person, name=post.get("name", ""), password=post.get("password", ""))
    except MovedOn:
        return render(request, "desk/welcome_over.html", status=409)
    except NotAllowed as error:
        return _page(request, found, error=Refused(error.message), status=403)
    except Refused as refused:
        return _page(request, found, error=refused, status=422)
    if person is None:
        login(request, user, backend="django.contrib.auth.backends.ModelBackend")
    if found.client is None:
        pick_company(request, found.company_id)
        notices.say(request, f"Welcome to {found.company}. You are {found.role} here.")
    else:
        notices.say(request, f"Welcome. From now on you sign in here to read {found.client}.")
    return redirect("desk:morning")


def _page(
    request: HttpRequest, found: Invitation, *, error: Refused | None = None, status: int = 200
) -> HttpResponse:
    known = User.objects.filter(email=found.email).first()
    context = {
        "invitation": found,
        "known": known is not None and not unclaimed(known, found.company_id),
        "own_link": OWN_LINK.format(email=found.email) if found.by_id == request.user.pk else "",
        "theirs": getattr(request.user, "email", "") == found.email,
        "name": request.POST.get("name", "").replace("\0", ""),
        "error": error,
    }
    return render(request, "desk/welcome.html", context, status=status)
