"""A company all of whose rows have the same id, and people its rows are and aren't for."""

from dataclasses import dataclass
from datetime import date, timedelta

import pytest

from fleet.models import (
    Client,
    ClientAccess,
    Company,
    Controller,
    Finding,
    Invitation,
    Letter,
    Membership,
    Meter,
    Photo,
    Policy,
    SettingEdit,
    SetUpDraft,
    Site,
    Tariff,
    Town,
    User,
    Visit,
    WateringRule,
    Zone,
    ZonePreset,
)
from fleet.photo_files import forget_files, keep_files
from reports.models import Summary, SummaryPaper
from scheduling.models import (
    Advice,
    Change,
    ChangeEvent,
    FieldEntry,
    NightlyRun,
    NightlyRunCompany,
    Program,
    Setting,
)
from tests.cast import MORNING, TIMEZONE, TODAY, reader, worker
from tests.summaries import summary_figures
from tests.tenancy.addresses import ID, MARK


@dataclass
class Place:
    owner: User
    neighbour: User  # a reader of another client of the same company
    stranger: User
    reader: User  # of the client asked about, with access


@pytest.fixture
def place(db: None, on_the_day: date) -> Place:
    company = Company.objects.create(pk=ID, name=f"{MARK} Irrigation")
    client = Client.objects.create(
        pk=ID, company=company, name=f"{MARK} School", access_from=date(2026, 5, 1)
    )
    site = Site.objects.create(
        pk=ID, client=client, name=f"{MARK} grounds", latitude=39.2, longitude=-121.1, elevation_m=310,
        timezone=TIMEZONE,
    )  # fmt: skip
    controller = Controller.objects.create(pk=ID, site=site, name=f"{MARK} wall")
    zone = Zone.objects.create(pk=ID, controller=controller, number=1, name=f"{MARK} bed")
    site.water_sources.create(pk=ID, name=f"{MARK} tap")
    program = Program.objects.create(
        pk=ID,
        controller=controller,
        letter="A",
        name=f"{MARK} lawn",
        starts=["04:30"],
        effective=date(2026, 4, 1),
    )
    Setting.objects.create(pk=ID, program=program, percent=90, effective_from=TODAY)
    program.skips.create(pk=ID, effective_from=TODAY, effective_to=TODAY, reason=f"{MARK} fair.")
    zone.soil_observations.create(pk=ID, date=TODAY, depletion_share=0.4, how=f"{MARK} probe")
    zone.trims.create(pk=ID, factor=0.9, reason=f"{MARK} fence.", effective_from=TODAY)
    site.corrections.create(pk=ID, factor=0.9, reason=f"{MARK} walls.", effective_from=TODAY)
    zone.can_audits.create(
        pk=ID, date=TODAY, minutes=10, throat_cm2=100, volumes_ml=[20, 22, 18, 25], note=f"{MARK} cans"
    )
    site.client_notes.create(pk=ID, words=f"{MARK} the choir sings.", dry_from=TODAY, dry_to=TODAY)
    zone_round = site.rounds.create(pk=ID, began_on=TODAY)
    zone.tests.create(pk=ID, round=zone_round, date=TODAY, seen=["leak"], note=f"{MARK} gate")
    meter = Meter.objects.create(pk=ID, site=site, name=f"{MARK} meter", unit="kgal")
    meter.baselines.create(
        pk=ID, first=date(2025, 1, 1), last=date(2025, 12, 31), terms=["net need"], coefficients=[1.0],
        points=[], fitted_at=MORNING,
        figures={"cv_rmse": 0.1, "r2": 0.9, "nmbe": 0.0, "rho": 0.1, "effective": 10.0},
    )  # fmt: skip
    meter.use_alerts.create(
        pk=ID, kind="beyond", first=TODAY, last=TODAY, litres=9.0, found_on=TODAY,
        evidence={"days": [{"day": TODAY.isoformat(), "used_l": 9.0, "due_l": 0.0}]},
    )  # fmt: skip
    meter.non_routine_changes.create(pk=ID, kind="leak", first=TODAY, litres_day=3, reason=f"{MARK} gate")
    meter.readings.create(pk=ID, read_at=MORNING, value=100, note=f"{MARK} lid")
    meter.bills.create(pk=ID, first=TODAY - timedelta(days=30), last=TODAY, used=12, note=f"{MARK} bill")
    zone.episodes.create(pk=ID, kind="off", effective_from=TODAY, permit=f"{MARK} 12")
    run = NightlyRun.objects.create(
        pk=ID, date=TODAY, timezone=TIMEZONE, started_at=MORNING, finished_at=MORNING
    )
    NightlyRunCompany.objects.create(pk=ID, run=run, company=company, words=[f"{MARK} went well."])
    change = Change.objects.create(
        pk=ID, program=program, kind="percent", current=100, proposed=85, effective_from=TODAY, run=run,
        reason=f"{MARK} is cooler.", deciding_zone=zone,
    )  # fmt: skip
    Invitation.objects.create(
        pk=ID, company=company, email=f"new@{MARK}.test", role="office", expires_at=MORNING
    )
    Tariff.objects.create(pk=ID, company=company, name=f"{MARK} water", price_per_m3="2")
    site.town = Town.objects.create(pk=ID, company=company, name=f"{MARK} vale")
    site.save()
    WateringRule.objects.create(pk=ID, company=company, name=f"{MARK} town")
    Membership.objects.create(
        pk=ID, company=company, user=User.objects.create_user(f"hand@{MARK}.test"), role="office"
    )
    Policy.objects.create(pk=ID, company=company, auto_move_points=7)
    SettingEdit.objects.create(
        pk=ID, company=company, topic="policy", row=ID, before={"auto_move_points": 5},
        after={"auto_move_points": 7},
    )  # fmt: skip
    SetUpDraft.objects.create(pk=ID, company=company, title=f"{MARK} draft", units="us")
    ZonePreset.objects.create(
        pk=ID, company=company, name=f"{MARK} kind", plant="shrubs", head="drip", soil="loam", sun="full",
        slope_percent=1,
    )  # fmt: skip
    Advice.objects.create(
        pk=ID, controller=controller, kind="runoff", key="1", words=f"{MARK} runs off", found_on=TODAY,
        looked_on=TODAY,
    )  # fmt: skip
    letter = Letter.objects.create(
        pk=ID, company=company, client=client, kind="opening", key="1", to=f"to@{MARK}.test",
        subject=f"{MARK} opens", text=f"{MARK} text",
    )  # fmt: skip
    told = Summary.objects.create(
        pk=ID, client=client, month=date(2026, 6, 1), figures=summary_figures(MARK, ID)
    )
    SummaryPaper.objects.create(pk=ID, summary=told, content=b"%PDF")
    letter.files.create(pk=ID, name=f"{MARK}.pdf", content=b"%PDF")
    ChangeEvent.objects.create(pk=ID, change=change, to_status="pending")
    Visit.objects.create(pk=ID, site=site, date=TODAY)
    finding = Finding.objects.create(pk=ID, zone=zone, found_on=TODAY, part=f"{MARK} head")
    size = {"width": 8, "height": 6}
    Photo.objects.create(pk=ID, zone=zone, finding=finding, key=f"{ID:032}", digest=f"{ID:064}", **size)
    forget_files(f"{ID:032}")
    keep_files(f"{ID:032}", full=MARK.encode(), small=MARK.encode())
    FieldEntry.objects.create(pk=ID, site=site, kind="visit", row=ID, about=f"{MARK} stop")
    neighbour = Client.objects.create(company=company, name="Next door", access_from=date(2026, 5, 1))
    elsewhere = Company.objects.create(name="Quillback Gardens")
    own_reader = reader(client, "reader@nightjar.test")
    ClientAccess.objects.filter(user=own_reader).update(id=ID)
    return Place(
        owner=worker(company, "owner", "nightjar.test"),
        neighbour=reader(neighbour, "neighbour@nightjar.test"),
        stranger=worker(elsewhere, "owner", "quillback.test"),
        reader=own_reader,
    )
