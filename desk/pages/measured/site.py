"""What the meters of a site measured, meter by meter; estimated figures stay elsewhere."""

from datetime import date, timedelta

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from common import clock
from desk.access import StaffRequest, staff
from desk.measured_words import days_of, result
from fleet.models import Site
from reports.models import MeterBaseline
from reports.selectors.measured import measured_savings, meters_of

LONG_AGO = date(1970, 1, 1)


@staff
@require_safe
def site_measured(request: StaffRequest, pk: int) -> HttpResponse:
    """Show what a site's meters measured since their baselines."""
    sites = Site.objects.visible_to(request.user).of_company(request.member.company_id)
    site = get_object_or_404(sites.select_related("client__company"), pk=pk)
    units, on = request.member.company.units, clock.today(site.timezone)
    whole = measured_savings(site, first=LONG_AGO, last=on - timedelta(days=1), on=on)
    by_meter = {one.meter.pk: one for one in (whole.meters if whole else [])}
    meters = meters_of(site)
    kept = {one.meter_id: one for one in MeterBaseline.objects.filter(meter__in=meters, replaced_at=None)}
    context = {
        "site": site,
        "units": units,
        "whole": whole,
        "rows": [
            {
                "meter": meter,
                "baseline": kept.get(meter.pk),
                "found": by_meter.get(meter.pk),
                "words": result(by_meter[meter.pk], units) if meter.pk in by_meter else "",
                "days": days_of(by_meter[meter.pk], units) if meter.pk in by_meter else "",
            }
            for meter in meters
        ],
    }
    return render(request, "desk/site_measured.html", context)
