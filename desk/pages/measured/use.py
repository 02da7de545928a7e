"""A site's water use month by month, estimated beside metered, and what nothing explains."""

from collections.abc import Callable
from datetime import date

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from common import clock
from common.errors import BluestemError, NotAllowed
from desk import notices
from desk.access import StaffRequest, staff
from fleet.models import Site
from reports.models import UseAlert
from reports.selectors.budget import site_budget
from reports.selectors.peak_month import peak_month
from reports.selectors.use import site_months
from reports.selectors.use_alerts import alert_rows, alerts_of
from reports.services.look_at_use import dismiss_alert, show_alert_again

MONTHS = 13


@staff
@require_safe
def site_water_use(request: StaffRequest, pk: int) -> HttpResponse:
    """Show what was applied by the settings beside what meters counted."""
    sites = Site.objects.visible_to(request.user).of_company(request.member.company_id)
    site = get_object_or_404(sites.select_related("client__company", "cell"), pk=pk)
    on = clock.today(site.timezone)
    peak = peak_month(site)
    context = {
        "site": site,
        "budget": site_budget(site, first=date(on.year, 1, 1), last=date(on.year, 12, 31), on=on),
        "peak": peak,
        "peak_name": f"{date(on.year, peak.month, 1):%B}" if peak else "",
        "units": request.member.company.units,
        "months": site_months(site, months=MONTHS, on=on),
        "metered": site.meters.exists(),
        "alerts": alerts_of(request.user, site),
    }
    return render(request, "desk/site_use.html", context)


@staff
@require_POST
def alert_dismiss(request: StaffRequest, pk: int) -> HttpResponse:
    """Put an alert aside, with the reason."""
    alert = _alert(request, pk)
    why = request.POST.get("why", "")
    return _done(request, alert, lambda: dismiss_alert(alert=alert, by=request.user, why=why), "Put aside.")


@staff
@require_POST
def alert_again(request: StaffRequest, pk: int) -> HttpResponse:
    """Show an alert again that was put aside."""
    alert = _alert(request, pk)
    said = "It stands on the morning sheet again."
    return _done(request, alert, lambda: show_alert_again(alert=alert, by=request.user), said)


def _alert(request: StaffRequest, pk: int) -> UseAlert:
    return get_object_or_404(alert_rows(request.user, request.member.company_id), pk=pk)


def _done(request: StaffRequest, alert: UseAlert, do: Callable[[], UseAlert], said: str) -> HttpResponse:
    try:
        do()
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except BluestemError as error:
        notices.warn(request, error.message)
    else:
        notices.say(request, said)
    return redirect("desk:site-use", alert.meter.site_id)
