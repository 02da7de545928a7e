"""Beginning and ending a round through the zones of a site."""

import datetime as dt

from django.db import IntegrityError, transaction

from common.errors import Refused
from fleet.models import Controller, Finding, Site, User, Zone, ZoneRound, ZoneTest
from fleet.numerics.zone_faults import FAULTS
from fleet.selectors.people import require_enter
from fleet.selectors.rounds import zones_of
from fleet.services.findings import report_finding
from fleet.services.holding import held
from fleet.tenancy import company_id_of


def begin_round(
    *, site: Site, by: User, on: dt.date, controller: Controller | None = None, kind: str = "check"
) -> tuple[ZoneRound, bool]:
    """Begin a round, or take up the one that is under way; tell whether it is new.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If there is no zone to go past, or no such kind of round.
    """
    require_enter(by, company_id_of(site))
    if kind not in ZoneRound.Kind.values:
        raise Refused("Pick what sort of round it is.", field="kind")
    going = ZoneRound.objects.filter(site=site, controller=controller, done_on=None)
    found = going.first()
    if found is not None:
        return found, False
    row = ZoneRound(site=site, controller=controller, kind=kind, began_on=on, by=by)
    if not zones_of(row):
        raise Refused("No zone has been surveyed here yet.", field="site")
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:  # two taps at the very same moment
        return going.get(), False
    return row, True


@transaction.atomic
def end_round(*, round: ZoneRound, by: User, on: dt.date) -> ZoneRound:
    """End a round in which every zone was seen, or is said why not.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If a zone is left.
    Gone
        If the round was removed meanwhile.
    """
    require_enter(by, company_id_of(round))
    now = held(round, gone="This round is gone by now.")
    if now.done_on is not None:
        return now
    seen = set(now.tests.values_list("zone_id", flat=True))
    left = [zone for zone in zones_of(now) if zone.pk not in seen]
    if left:
        names = ", ".join(str(zone.number) for zone in left[:8])
        raise Refused(f"Not seen yet: zone {names}. See them, or say why not.", field="zones")
    now.done_on = max(on, now.began_on)
    now.save(update_fields=["done_on"])
    return now


def finding_of(*, test: ZoneTest, by: User, what: str, words: str = "") -> tuple[Finding, bool]:
    """Make a finding of something a test showed: one thing seen, or its flow; tell whether it is new.

    Raises
    ------
    NotAllowed
        If the person doesn't belong to the company.
    Refused
        If the test doesn't show it.
    """
    zone: Zone = test.zone
    if what != "flow" and (what not in FAULTS or what not in test.seen):
        raise Refused("The test of this zone doesn't show that.", field="what")
    part = "something else" if what == "flow" else FAULTS[what].part
    note = words if what == "flow" else FAULTS[what].words
    open_one = Finding.objects.filter(zone=zone, part=part, note=note, status=Finding.Status.OPEN).first()
    if open_one is not None:
        require_enter(by, company_id_of(zone))
        return open_one, False
    return report_finding(zone=zone, by=by, on=test.date, part=part, note=note)
