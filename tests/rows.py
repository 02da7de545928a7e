"""One more row of any model, for tests that go through all of them."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from fleet.models import (
    CanAudit,
    Client,
    ClientAccess,
    ClientNote,
    Company,
    Controller,
    Finding,
    Invitation,
    KeptAnswer,
    Letter,
    LetterFile,
    Membership,
    Meter,
    MeterBill,
    MeterFile,
    MeterHour,
    MeterReading,
    Photo,
    Policy,
    SettingEdit,
    SetUpDraft,
    Site,
    SiteCorrection,
    SiteRain,
    SoilObservation,
    Tariff,
    Town,
    User,
    Visit,
    WateringRule,
    WaterSource,
    Zone,
    ZoneCut,
    ZoneEpisode,
    ZonePreset,
    ZoneRound,
    ZoneTest,
    ZoneTrim,
)
from reports.models import (
    MeterBaseline,
    MeterMonth,
    NonRoutineChange,
    ProgramMonth,
    SiteMonth,
    Summary,
    SummaryLetter,
    SummaryPaper,
    SummaryStop,
    UseAlert,
)
from scheduling.models import (
    Advice,
    Change,
    ChangeEvent,
    Delivery,
    FieldEntry,
    NightlyRun,
    NightlyRunCompany,
    Program,
    Setting,
    Skip,
    ZoneRun,
)
from tests.cast import MORNING, TIMEZONE, TODAY, Cast, a_change, a_program, a_site, a_skip, a_zone, person

Maker = Callable[[Cast, int], Any]


def _day(n: int) -> date:
    return TODAY - timedelta(days=n)


def _client(c: Cast, n: int) -> Client:
    return Client.objects.create(company=c.company, name=f"Client {n} of {c.company.name}")


def _controller(c: Cast, n: int) -> Controller:
    return Controller.objects.create(site=a_site(c.client, f"Lot {n}"), name=f"Wall {n}")


def _zone(c: Cast, n: int) -> Zone:
    return a_zone(_controller(c, n), 1)


def _program(c: Cast, n: int) -> Program:
    return a_program(_controller(c, n), "A")


def _change(c: Cast, n: int) -> Change:
    return a_change(_program(c, n), deciding_zone=c.zone)


def _letter(c: Cast, n: int) -> Letter:
    return Letter.objects.create(
        company=c.company,
        kind="opening",
        key=f"{n}",
        to=f"l{n}@{c.company.pk}.test",
        subject=f"Letter {n}",
        text="T",
    )


def _meter(c: Cast, n: int) -> Meter:
    return Meter.objects.create(site=a_site(c.client, f"Metered {n}"), name="Main", unit="kgal")


def _meter_month(c: Cast, n: int) -> MeterMonth:
    baseline = MAKERS[MeterBaseline](c, n)
    return MeterMonth.objects.create(
        meter=baseline.meter, baseline=baseline, month=TODAY.replace(day=1), points=[], baseline_l=9, used_l=7
    )


def _run(c: Cast, n: int) -> NightlyRun:
    return NightlyRun.objects.create(date=_day(n), timezone=TIMEZONE, started_at=MORNING)


MAKERS: dict[type[Any], Maker] = {
    Company: lambda c, n: Company.objects.create(name=f"{c.company.name} {n}"),
    User: lambda c, n: person(f"p{n}@{c.company.pk}.test"),
    Membership: lambda c, n: Membership.objects.create(
        user=person(f"m{n}@{c.company.pk}.test"), company=c.company, role="office"
    ),
    Client: _client,
    ClientAccess: lambda c, n: ClientAccess.objects.create(
        user=person(f"r{n}@{c.company.pk}.test"), client=c.client
    ),
    Policy: lambda c, n: Policy.objects.create(company=c.company, client=_client(c, n)),
    Advice: lambda c, n: Advice.objects.create(
        controller=_controller(c, n),
        kind="runoff",
        key=f"{n}",
        words="Runs off.",
        found_on=TODAY,
        looked_on=TODAY,
    ),
    Letter: _letter,
    LetterFile: lambda c, n: LetterFile.objects.create(
        letter=_letter(c, n), name=f"{n}.pdf", content=b"%PDF"
    ),
    Summary: lambda c, n: Summary.objects.create(client=_client(c, n), month=date(2026, 6, 1)),
    SummaryPaper: lambda c, n: SummaryPaper.objects.create(
        summary=Summary.objects.create(client=_client(c, n), month=date(2026, 5, 1)), content=b"%PDF"
    ),
    SummaryLetter: lambda c, n: SummaryLetter.objects.create(
        summary=Summary.objects.create(client=_client(c, n), month=date(2026, 4, 1)), letter=_letter(c, n)
    ),
    SummaryStop: lambda c, n: SummaryStop.objects.create(client=_client(c, n), reason="Asked for none."),
    Invitation: lambda c, n: Invitation.objects.create(
        company=c.company, email=f"new{n}@larkspur.test", role="office", expires_at=MORNING
    ),
    SettingEdit: lambda c, n: SettingEdit.objects.create(
        company=c.company, topic="price", row=n, after={"name": "Town"}
    ),
    WateringRule: lambda c, n: WateringRule.objects.create(company=c.company, name=f"Town {n}"),
    Town: lambda c, n: Town.objects.create(company=c.company, name=f"Town {n}"),
    Tariff: lambda c, n: Tariff.objects.create(company=c.company, name=f"Price {n}", price_per_m3="2.5"),
    Site: lambda c, n: a_site(_client(c, n), f"Site {n}"),
    WaterSource: lambda c, n: WaterSource.objects.create(site=a_site(c.client, f"Tap {n}"), name="Tap"),
    Controller: _controller,
    Zone: _zone,
    SoilObservation: lambda c, n: SoilObservation.objects.create(
        zone=_zone(c, n), date=TODAY, depletion_share=0.4, by=c.technician
    ),
    ZoneTrim: lambda c, n: ZoneTrim.objects.create(
        zone=_zone(c, n), factor=1.1, reason="Windy.", effective_from=TODAY, by=c.office
    ),
    ZoneCut: lambda c, n: ZoneCut.objects.create(
        zone=_zone(c, n),
        town=Town.objects.create(company=c.company, name=f"Cut {n}"),
        factor=0.8,
        reason="Stage 2.",
        effective_from=TODAY,
    ),
    ClientNote: lambda c, n: ClientNote.objects.create(
        site=a_site(c.client, f"Guests {n}"), words=f"Dry, please, {n}.", dry_from=TODAY, dry_to=TODAY
    ),
    SiteCorrection: lambda c, n: SiteCorrection.objects.create(
        site=a_site(c.client, f"Court {n}"), factor=0.85, reason="Walls.", effective_from=TODAY, by=c.office
    ),
    SiteRain: lambda c, n: SiteRain.objects.create(
        site=a_site(c.client, f"Gauge {n}"), date=TODAY, rain_mm=4.0, how="gauge", by=c.technician
    ),
    ZoneEpisode: lambda c, n: ZoneEpisode.objects.create(zone=_zone(c, n), kind="off", effective_from=TODAY),
    CanAudit: lambda c, n: CanAudit.objects.create(
        zone=_zone(c, n), date=TODAY, minutes=10, throat_cm2=100, volumes_ml=[20, 22, 18, 25], by=c.technician
    ),
    ZoneRound: lambda c, n: ZoneRound.objects.create(
        site=a_site(c.client, f"Lawns {n}"), began_on=TODAY, by=c.technician
    ),
    ZoneTest: lambda c, n: ZoneTest.objects.create(
        zone=_zone(c, n), date=TODAY, flow_l_min=40, by=c.technician
    ),
    Meter: _meter,
    MeterReading: lambda c, n: MeterReading.objects.create(
        meter=_meter(c, n), read_at=MORNING, value=100 + n, by=c.technician
    ),
    MeterBill: lambda c, n: MeterBill.objects.create(meter=_meter(c, n), first=_day(30), last=TODAY, used=12),
    MeterBaseline: lambda c, n: MeterBaseline.objects.create(
        meter=_meter(c, n),
        first=_day(400),
        last=_day(30),
        terms=["net need"],
        coefficients=[1.0],
        points=[],
        fitted_at=MORNING,
    ),
    SiteMonth: lambda c, n: SiteMonth.objects.create(
        site=a_site(c.client, f"Month {n}"), month=TODAY.replace(day=1), through=TODAY, days=5, budget_l=900
    ),
    MeterMonth: _meter_month,
    UseAlert: lambda c, n: UseAlert.objects.create(
        meter=_meter(c, n),
        kind="beyond",
        first=_day(9),
        last=_day(2),
        litres=2_000,
        evidence={"days": [{"day": _day(2).isoformat(), "used_l": 5_000.0, "due_l": 3_000.0}]},
        found_on=TODAY,
    ),
    NonRoutineChange: lambda c, n: NonRoutineChange.objects.create(
        meter=_meter(c, n), kind="leak", first=_day(9), litres_day=300, reason="Gate.", by=c.office
    ),
    MeterHour: lambda c, n: MeterHour.objects.create(meter=_meter(c, n), begins_at=MORNING, used_l=90),
    MeterFile: lambda c, n: MeterFile.objects.create(meter=_meter(c, n), by=c.office, content=b"Date,Use"),
    Visit: lambda c, n: Visit.objects.create(site=a_site(c.client, f"Stop {n}"), date=TODAY),
    Finding: lambda c, n: Finding.objects.create(zone=_zone(c, n), found_on=TODAY, part="Riser"),
    Photo: lambda c, n: _photo(c, n),
    KeptAnswer: lambda c, n: KeptAnswer.objects.create(
        company=c.company, by=c.office, key=f"sheet {n}", request="0" * 64, kept_at=MORNING
    ),
    SetUpDraft: lambda c, n: SetUpDraft.objects.create(company=c.company, by=c.office, units="us"),
    ZonePreset: lambda c, n: ZonePreset.objects.create(
        company=c.company,
        name=f"Kind {n}",
        plant="shrubs",
        head="drip",
        soil="loam",
        sun="full",
        slope_percent=1,
    ),
    Program: _program,
    ZoneRun: lambda c, n: _zone_run(c, n),
    Setting: lambda c, n: Setting.objects.create(program=_program(c, n), percent=90, effective_from=TODAY),
    Skip: lambda c, n: Skip.objects.create(
        program=_program(c, n), effective_from=TODAY, effective_to=TODAY, reason="Rain."
    ),
    Change: _change,
    ChangeEvent: lambda c, n: ChangeEvent.objects.create(
        change=_change(c, n), to_status="pending", by=c.office
    ),
    Delivery: lambda c, n: Delivery.objects.create(change=a_skip(_program(c, n)), channel="office"),
    FieldEntry: lambda c, n: FieldEntry.objects.create(
        site=a_site(c.client, f"Round {n}"), kind="visit", row=n, about="Stop", by=c.technician
    ),
    NightlyRun: _run,
    ProgramMonth: lambda c, n: ProgramMonth.objects.create(
        controller=_controller(c, n),
        letter="A",
        month=TODAY.replace(day=1),
        through=TODAY,
        days=5,
        applied_l=900,
        found_l=1000,
        found_withheld_l=0,
        need_l=800,
        short_l=0,
    ),
    NightlyRunCompany: lambda c, n: NightlyRunCompany.objects.create(run=_run(c, n), company=c.company),
}


def _zone_run(c: Cast, n: int) -> ZoneRun:
    zone = _zone(c, n)
    return ZoneRun.objects.create(program=a_program(zone.controller), zone=zone, minutes=9)


def _photo(c: Cast, n: int) -> Photo:
    finding = MAKERS[Finding](c, n)
    key = f"{c.company.pk:016x}{n:016x}"
    return Photo.objects.create(
        zone=finding.zone, finding=finding, key=key, digest=key * 2, width=800, height=600, by=c.technician
    )
