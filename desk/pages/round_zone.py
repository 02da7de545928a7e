"""One zone of a round on a phone: what was measured and seen, kept at every step."""

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from common import clock
from common.errors import NotAllowed, Refused
from desk import notices
from desk.access import StaffRequest, staff
from desk.apart import apart_at
from desk.blanks import Sheet
from desk.keeping import REFUSED, keep
from desk.pages.rounds import round_of
from desk.photos import AGAIN, Sent, any_sent, asked, take_photos
from desk.sheets.measured import METERS, TURN, test_blanks
from desk.zone_words import finding_words, flow_words, shown_by, warnings_of
from fleet.models import Finding, Photo, Zone, ZoneRound, ZoneTest
from fleet.selectors.flow_checks import check_of, expectation_of
from fleet.selectors.rounds import Progress, Stop, progress_of
from fleet.services.rounds import finding_of
from fleet.services.zone_tests import set_pipe, test_zone
from scheduling.selectors.zone_warnings import too_much

BUCKET = ("volume_l",)
METER = ("before", "after")


@dataclass(frozen=True)
class Opened:
    """What the form of a zone shows: what its test says so far."""

    flow_l_min: float | None
    volume_l: float | None
    before: float | None
    after: float | None
    meter: str
    seconds: float | None
    pressure_kpa: float | None
    seen: list[str]
    note: str
    pipe: str
    not_seen_because: str


def opened(zone: Zone, test: ZoneTest | None, units: str) -> Opened:
    """Return what the form of a zone shows."""
    test = test or ZoneTest(zone=zone, seen=[])
    said: dict[str, Any] = test.measured or {}
    meter = str(said.get("meter", TURN[units][0]))
    one = METERS.get(meter, METERS["l"])[1]
    return Opened(
        flow_l_min=None if said else test.flow_l_min,
        volume_l=said.get("volume_l"),
        before=said["before_l"] / one if "before_l" in said else None,
        after=said["after_l"] / one if "after_l" in said else None,
        meter=meter,
        seconds=said.get("seconds"),
        pressure_kpa=test.pressure_kpa,
        seen=list(test.seen),
        note=test.note,
        pipe=zone.pipe,
        not_seen_because=test.not_seen_because,
    )


@staff
@require_http_methods(["GET", "HEAD", "POST"])
def round_zone(request: StaffRequest, pk: int, zone_pk: int) -> HttpResponse:
    """Show one zone of a round, or keep what was typed about it."""
    row, progress, place = _where(request, pk, zone_pk)
    stop = progress.stops[place]
    sheet = _sheet(request, stop, posted=request.POST if request.method == "POST" else None)
    if request.method != "POST":
        return _page(request, progress, place, sheet)
    status = _keep(request, row, stop, sheet)
    _, progress, place = _where(request, pk, zone_pk)
    sent = _photos(request, progress.stops[place], kept=status == 200)
    if request.htmx:
        kept = _sheet(request, progress.stops[place]) if status == 200 else sheet
        context = _context(request, progress, place, sheet, sent) | {"kept": status == 200, "was": kept.was}
        # Photos that wait for the rest stay picked: the field is only drawn anew once they were looked at.
        context["swapped"] = status == 200 and any_sent(request)
        return render(request, "desk/_round_checks.html", context)
    if status != 200 or sent.told:
        return _page(request, progress, place, sheet, sent, status=status if status != 200 else REFUSED)
    if "next" in request.POST and place + 1 < len(progress.stops):
        return redirect("desk:round-zone", pk, progress.stops[place + 1].zone.pk)
    if "next" in request.POST:
        return redirect("desk:round", pk)
    notices.say(request, f"Zone {stop.zone} is kept.")
    return redirect("desk:round-zone", pk, zone_pk)


@staff
@require_POST
def round_finding(request: StaffRequest, pk: int, zone_pk: int) -> HttpResponse:
    """Make a finding of something the test showed."""
    _, progress, place = _where(request, pk, zone_pk)
    stop = progress.stops[place]
    if stop.test is None:
        notices.warn(request, "Keep what you saw first.")
        return redirect("desk:round-zone", pk, zone_pk)
    check = check_of(stop.test)
    words = finding_words(check, request.member.company.units) if check else ""
    what = request.POST.get("what", "")
    try:
        if what == "flow" and (check is None or check.verdict == "as expected"):
            raise Refused("The flow is as expected.", field="what")
        finding, new = finding_of(test=stop.test, by=request.user, what=what, words=words)
    except NotAllowed as error:
        raise PermissionDenied(error.message) from error
    except Refused as error:
        notices.warn(request, error.message)
    else:
        words = f"{finding.note or finding.part}: {'noted as a finding' if new else 'was a finding already'}."
        notices.say(request, words)
    return redirect("desk:round-zone", pk, zone_pk)


def _where(request: StaffRequest, pk: int, zone_pk: int) -> tuple[ZoneRound, Progress, int]:
    row = round_of(request, pk)
    progress = progress_of(row)
    place = progress.place(zone_pk)
    if place is None:
        raise Http404
    return row, progress, place


def _sheet(request: StaffRequest, stop: Stop, *, posted: QueryDict | None = None) -> Sheet:
    units = request.member.company.units
    return Sheet(test_blanks(units), row=opened(stop.zone, stop.test, units), posted=posted)


def _keep(request: StaffRequest, row: ZoneRound, stop: Stop, sheet: Sheet) -> int:
    """Store what was typed; return 200, or 409 or 422 with what is wrong put into the form."""

    def write() -> None:
        sheet.decide(sheet.row)
        said = _said(sheet.values)
        pipe = sheet.values["pipe"]
        test_zone(zone=stop.zone, by=request.user, date=clock.today(row.site.timezone), round=row, **said)
        if pipe != stop.zone.pipe:
            set_pipe(zone=Zone.objects.get(pk=stop.zone.pk), by=request.user, pipe=pipe)

    who = stop.test.by if stop.test else None
    return keep(sheet, write, who=str(who or "Somebody"))[1]


def _photos(request: StaffRequest, stop: Stop, *, kept: bool) -> Sent:
    """Keep the photos that came with a form; they wait while the rest of it isn't kept."""
    if not any_sent(request):
        return Sent()
    if not kept or stop.test is None:
        return Sent(told=[AGAIN])
    return take_photos(request, test=stop.test)


def _said(values: dict[str, Any]) -> dict[str, Any]:
    """Return what a form says as a test takes it.

    Raises
    ------
    Refused
        If a flow is given in two ways, or half of one.
    """
    bucket, meter = values["volume_l"] is not None, any(values[name] is not None for name in METER)
    if bucket + meter + (values["flow_l_min"] is not None) > 1:
        raise Refused("Give the flow one way: by flow meter, bucket or meter readings.", field="flow_l_min")
    said = {name: values[name] for name in ("pressure_kpa", "seen", "note", "not_seen_because")}
    if not bucket and not meter:
        return said | {"flow_l_min": values["flow_l_min"], "measured": None}
    if values["seconds"] is None:
        raise Refused("Type how many seconds it took.", field="seconds")
    if bucket:
        measured = {"volume_l": values["volume_l"], "seconds": values["seconds"]}
        return said | {"flow_l_min": None, "measured": measured}
    missing = next((name for name in METER if values[name] is None), None)
    if missing is not None:
        raise Refused("Type both readings.", field=missing)
    one = METERS[values["meter"]][1]
    measured = {
        "before_l": round(values["before"] * one, 6),
        "after_l": round(values["after"] * one, 6),
        "seconds": values["seconds"],
        "meter": values["meter"],
    }
    return said | {"flow_l_min": None, "measured": measured}


def _context(
    request: StaffRequest, progress: Progress, place: int, sheet: Sheet, sent: Sent
) -> dict[str, Any]:
    units = request.member.company.units
    stop = progress.stops[place]
    zone, test = stop.zone, stop.test
    findings = list(Finding.objects.filter(zone=zone, status=Finding.Status.OPEN).order_by("found_on", "pk"))
    check = check_of(test) if test else None
    expected = expectation_of(zone) if test is None or test.flow_l_min is None else None
    return {
        "round": progress.round,
        "site": progress.round.site,
        "units": units,
        "progress": progress,
        "stop": stop,
        "zone": zone,
        "number": place + 1,
        "before": progress.stops[place - 1].zone if place else None,
        "after": progress.stops[place + 1].zone if place + 1 < len(progress.stops) else None,
        "sheet": sheet,
        "typed": {one.blank.name: one for one in sheet},
        "expected": expected,
        "check": check,
        "check_words": flow_words(check, units) if check else "",
        "shown": shown_by(test, findings, units) if test else [],
        "findings": findings,
        "warnings": warnings_of(too_much(zone), units),
        "photos": list(Photo.objects.filter(test=test)) if test else [],  # those just sent too
        "asked": asked(sent.told),
    }


def _page(
    request: StaffRequest,
    progress: Progress,
    place: int,
    sheet: Sheet,
    sent: Sent | None = None,
    *,
    status: int = 200,
) -> HttpResponse:
    context = _context(request, progress, place, sheet, sent or Sent()) | {"was": sheet.was}
    zone, units = progress.stops[place].zone, request.member.company.units
    on = clock.today(zone.controller.site.timezone)
    context["apart"] = apart_at([zone.controller], night=on, units=units)[zone.controller_id].about(zone)
    return render(request, "desk/round_zone.html", context, status=status)
