"""Signing in with e-mail address and password, and out again."""

from django.contrib.auth import authenticate, login, logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

WRONG = "That e-mail address and password don't go together. Nothing was changed; try again."
LONGEST = 2000  # characters of an address somebody is led on to
LOCKED = "Too many tries for this address from here. Wait a quarter of an hour, then try again."


@never_cache
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Show the form, or take a person in and lead them where they wanted to go."""
    going_to = request.POST.get("next") or request.GET.get("next") or ""
    if request.method == "GET":
        if request.user.is_authenticated:
            return redirect(_safe(request, going_to))
        signed_out = "signed-out" in request.GET
        return render(request, "desk/sign_in.html", {"next": going_to, "signed_out": signed_out})
    email = request.POST.get("email", "").strip()
    user = authenticate(request, username=email.lower(), password=request.POST.get("password", ""))
    if user is None:
        return _again(request, email=email, going_to=going_to)
    login(request, user)
    return redirect(_safe(request, going_to))


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session."""
    logout(request)
    return redirect("desk:sign-in")


def _again(request: HttpRequest, *, email: str, going_to: str) -> HttpResponse:
    """Show the form with everything but the password kept."""
    locked = bool(getattr(request, "axes_locked_out", False))
    # The page itself says so below; left set, the middleware would put a bare line in its place.
    request.axes_locked_out = False  # type: ignore[attr-defined]
    context = {"email": email, "next": going_to, "problem": LOCKED if locked else WRONG}
    return render(request, "desk/sign_in.html", context, status=429 if locked else 422)


def _safe(request: HttpRequest, url: str) -> str:
    """Return where to go: a path inside this service, else the first page."""
    inside = url.startswith("/") and len(url) <= LONGEST
    if inside and url_has_allowed_host_and_scheme(
        url, {request.get_host()}, require_https=request.is_secure()
    ):
        return url
    return reverse("desk:morning")
