"""Who works for the company and with which role; only owners change it."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone as real_time
from django.views.decorators.http import require_http_methods, require_POST

from common.errors import MovedOn, NotAllowed, Refused
from desk import notices
from desk.access import StaffRequest
from desk.how_we_work import REFUSED, around, keepers
from fleet.models import Invitation, Membership, SettingEdit
from fleet.services.people import change_role, invite, remove, token_of, withdraw


@keepers
@require_http_methods(["GET", "HEAD", "POST"])
def people(request: StaffRequest) -> HttpResponse:
    """List who works here and who is asked to, or ask somebody."""
    if request.method != "POST":
        return _page(request)
    post = request.POST
    typed = {"email": post.get("email", ""), "role": post.get("role", "")}
    try:
        invite(by=request.user, company_id=request.member.company_id, **typed)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except Refused as refused:
        typed["email"] = typed["email"].replace("\0", "")
        return _page(request, typed=typed, error=refused, status=REFUSED)
    notices.say(request, "A link is ready below. Hand it over; it lets one person in, once.")
    return redirect(f"{reverse('desk:settings-people')}#links")


@keepers
@require_POST
def person_role(request: StaffRequest, pk: int) -> HttpResponse:
    """Give somebody another role, or remove them."""
    rows = Membership.objects.visible_to(request.user).of_company(request.member.company_id)
    member = get_object_or_404(rows.select_related("user"), pk=pk)
    role, confirmed = request.POST.get("role", ""), bool(request.POST.get("confirmed"))
    leaves = "remove" in request.POST
    if leaves and not confirmed:
        return _page(request, asking=(member, "remove", ""), status=REFUSED)
    try:
        if leaves:
            remove(member=member, by=request.user, confirmed=confirmed)
        else:
            change_role(member=member, by=request.user, role=role, confirmed=confirmed)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except Refused as refused:
        if refused.field == "confirmed":
            return _page(request, asking=(member, "role", role), error=refused, status=REFUSED)
        notices.warn(request, f"{member.user}: {refused.message}")
        return _page(request, status=REFUSED)
    except MovedOn as moved:
        notices.warn(request, f"{member.user}: {moved.message}")
        return _page(request, status=409)
    notices.say(request, f"{member.user}: {'removed' if leaves else f'{role} now'}.")
    return redirect("desk:settings-people" if member.user_id != request.user.pk else "desk:morning")


@keepers
@require_POST
def call_off(request: StaffRequest, pk: int) -> HttpResponse:
    """Withdraw a link."""
    rows = Invitation.objects.visible_to(request.user).of_company(request.member.company_id)
    rows = rows.filter(client=None)
    invitation = get_object_or_404(rows, pk=pk)
    try:
        withdraw(invitation=invitation, by=request.user)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except MovedOn as moved:
        notices.warn(request, moved.message)
    else:
        notices.say(request, f"The link for {invitation.email} opens nothing any more.")
    return redirect("desk:settings-people")


def _page(
    request: StaffRequest,
    *,
    typed: dict[str, str] | None = None,
    asking: tuple[Membership, str, str] | None = None,
    error: Refused | None = None,
    status: int = 200,
) -> HttpResponse:
    user, company_id = request.user, request.member.company_id
    members = Membership.objects.visible_to(user).of_company(company_id).select_related("user")
    waiting = Invitation.objects.visible_to(user).of_company(company_id).select_related("by")
    waiting = waiting.filter(client=None, used_at=None, withdrawn_at=None, expires_at__gt=real_time.now())
    context = around(request, SettingEdit.Topic.PERSON) | {
        "members": members.order_by("user__name", "user__email"),
        "links": [_link(request, one) for one in waiting],
        "roles": Membership.Role.choices,
        "typed": typed or {"role": Membership.Role.TECHNICIAN},
        "asking": asking,
        "error": error,
    }
    return render(request, "desk/settings_people.html", context, status=status)


def _link(request: StaffRequest, invitation: Invitation) -> dict[str, Any]:
    """Return an invitation with its link, which only owners are shown."""
    url = ""
    if request.member.role == Membership.Role.OWNER:
        url = request.build_absolute_uri(reverse("desk:welcome", args=[token_of(invitation)]))
    return {"row": invitation, "url": url}
