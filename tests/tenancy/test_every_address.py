"""Every address with a number in it, asked by people the number's row isn't for.

All rows of the company asked about have the same id, so whatever an address means by its number, it means a
row of that company. Whoever adds an address with another kind of argument must teach ``argument`` about it.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import transaction
from django.test import Client as Browser
from django.urls import URLPattern, URLResolver, get_resolver
from django.urls.converters import IntConverter

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
    MeterBill,
    MeterReading,
    Photo,
    Policy,
    SettingEdit,
    SetUpDraft,
    Site,
    SiteRain,
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
from tests.cast import MORNING, PASSWORD, TIMEZONE, TODAY, reader, worker
from tests.summaries import summary_figures

pytestmark = pytest.mark.django_db
ID = 777_001
MONTH = f"{TODAY:%Y-%m}"
METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")
BACKEND = "django.contrib.auth.backends.ModelBackend"
MARK = "Nightjar"  # in every name of the company asked about
# Addresses that need no company: they lead to the back office, which lets only its keepers in.
BACK_OFFICE = "/back-office/"
# Addresses that whoever was handed them may open; tests/desk/test_welcome.py says when they do.
HANDED_OVER = "/welcome/"
SET = (Invitation, Membership, Meter, Policy, SetUpDraft, Tariff, Town, WateringRule, ZonePreset)


@dataclass
class Address:
    """One pattern, with its arguments filled in."""

    route: str
    url: str
    names: list[str] = field(default_factory=list)


def argument(route: str, name: str, converter: Any) -> str:
    """Return what to put in the place of an argument."""
    if name == "month":
        return MONTH
    if isinstance(converter, IntConverter) or route.startswith(BACK_OFFICE):
        return str(ID)
    if route.startswith(HANDED_OVER):
        return f"{ID}:forged"
    raise AssertionError(f"Teach this test what to put for {name} in {route}.")


def addresses(patterns: list[Any], before: str = "/") -> Iterator[Address]:
    for pattern in patterns:
        text = str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from addresses(pattern.url_patterns, before + text)
        elif isinstance(pattern, URLPattern):
            yield filled(before + text, pattern)


def filled(route: str, pattern: URLPattern) -> Address:
    converters = dict(pattern.pattern.converters)
    url = re.sub(r"\(\?P<\w+>[^)]*\)", str(ID), route.replace("<month:month>", MONTH))
    url = url.replace("^", "").replace("$", "").replace("\\Z", "")
    for name, converter in converters.items():
        for written in (f"<int:{name}>", f"<path:{name}>", f"<str:{name}>", f"<{name}>"):
            url = url.replace(written, argument(route, name, converter))
    regex_names = set(pattern.pattern.regex.groupindex) - set(converters)
    for name in regex_names:
        argument(route, name, None)
    return Address(route, url, [*converters, *regex_names])


def everything() -> list[Address]:
    return list(addresses(get_resolver().url_patterns))


def with_numbers() -> list[Address]:
    numbered = [a for a in everything() if set(a.names) - {"month"}]  # a month is nobody's row
    return [a for a in numbered if not a.url.startswith((BACK_OFFICE, HANDED_OVER))]


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


class Reader(Browser):
    """A browser that reads files to their end: one that is dropped half read stays open."""

    def request(self, **asked: Any) -> Any:
        response = super().request(**asked)
        if response.streaming:
            response.streaming_content = [b"".join(response.streaming_content)]
        return response


def as_(user: User) -> Browser:
    browser = Reader(raise_request_exception=False)
    browser.force_login(user, backend=BACKEND)
    return browser


def snapshot() -> list[Any]:
    return [
        list(Change.objects.order_by("pk").values("pk", "status", "decided")),
        list(ChangeEvent.objects.order_by("pk").values_list("pk", flat=True)),
        list(Controller.objects.order_by("pk").values_list("pk", "name")),
        list(Client.objects.order_by("pk").values_list("pk", "name", "access_from")),
        list(Visit.objects.order_by("pk").values_list("pk", "done_at")),
        list(Finding.objects.order_by("pk").values_list("pk", "status")),
        list(Photo.objects.order_by("pk").values_list("pk", flat=True)),
        list(FieldEntry.objects.order_by("pk").values_list("pk", "taken_back_at")),
        list(SiteRain.objects.order_by("pk").values_list("pk", "rain_mm")),
        list(ClientAccess.objects.order_by("pk").values_list("pk", flat=True)),
        *(list(model.objects.order_by("pk").values()) for model in SET),
        list(SettingEdit.objects.order_by("pk").values_list("pk", flat=True)),
        list(MeterReading.objects.order_by("pk").values_list("pk", "value")),
        list(MeterBill.objects.order_by("pk").values_list("pk", "used")),
    ]


def refusals(user: User) -> list[str]:
    """Return every address and method that did not refuse this person."""
    browser, found = as_(user), []
    for address in with_numbers():
        for method in METHODS:
            response = browser.generic(method, address.url, b"{}", "application/json")
            if response.status_code not in (404, 405):
                found.append(f"{method} {address.route}: {response.status_code}")
            if MARK.encode() in response.content:
                found.append(f"{method} {address.route} shows a name")
    return found


def test_there_are_addresses_to_try():
    routes = {a.route for a in with_numbers()}
    assert len(routes) >= 7
    assert "/api/v1/changes/<int:id>/approve/" in routes


def test_every_argument_of_every_address_is_one_this_test_can_fill():
    for address in everything():  # raises on an argument nobody has thought about
        assert "<" not in address.url, address.route


@pytest.mark.parametrize("who", ["stranger", "neighbour"])
def test_for_whom_a_row_is_not_it_does_not_exist(place: Place, who):
    before = snapshot()
    assert refusals(getattr(place, who)) == []
    assert snapshot() == before


def test_until_access_is_open_a_client_is_a_stranger(place: Place):
    for closed in (None, TODAY + timedelta(days=1)):
        Client.objects.filter(pk=ID).update(access_from=closed)
        assert refusals(place.reader) == []


# What the reader of a client may open, once access is open: their own sites, nothing that is being decided.
READ_BY_CLIENTS = (
    "clients", "controllers", "episodes", "observations", "programs", "settings", "site-corrections",
    "sites", "skips", "summaries", "trims", "water-sources", "zones",
)  # fmt: skip
READERS_OPEN = {
    *(f"/api/v1/{rows}/<int:id>/" for rows in READ_BY_CLIENTS),
    "/api/v1/clients/<int:pk>/savings/",
    "/api/v1/sites/<int:id>/budget/",
    "/api/v1/sites/<int:id>/weather/",
    "/api/v1/controllers/<int:id>/timeline/",
    "/sites/<int:pk>/",
    "/sites/<int:pk>/history/",
    "/sites/<int:pk>/history.csv",
}


def test_a_client_opens_their_sites_and_no_change_and_no_run(place: Place):
    before = snapshot()
    browser, opened = as_(place.reader), set()
    for address in with_numbers():
        for method in METHODS:
            response = browser.generic(method, address.url, b"{}", "application/json")
            if response.status_code not in (404, 405):
                opened.add((method, address.route, response.status_code))
    assert {route for _, route, _ in opened} <= READERS_OPEN
    # They may read what they may not write: that it is refused tells nothing they don't see.
    assert {(method, status) for method, _, status in opened} <= {
        ("GET", 200),
        ("PATCH", 403),
        ("DELETE", 403),
    }
    assert snapshot() == before


def test_the_numbers_mean_something_to_the_own_owner(place: Place):
    """Were the numbers wrong, all of the above would pass for the wrong reason."""
    browser = as_(place.owner)
    for address in with_numbers():
        with transaction.atomic():  # what one address takes off, the next still finds
            statuses = {
                method: browser.generic(method, address.url, b"{}", "application/json").status_code
                for method in METHODS
            }
            transaction.set_rollback(True)
        assert set(statuses.values()) - {404, 405}, f"{address.route} finds nothing even for the owner"
        assert all(status < 500 for status in statuses.values()), (address.route, statuses)


def test_without_signing_in_every_address_leads_to_the_door(place: Place):
    for address in with_numbers():
        response = Browser(raise_request_exception=False).get(address.url)
        if response.status_code == 302:
            assert response["Location"].startswith("/sign-in/"), address.route
        else:
            assert response.status_code in (401, 404, 405), address.route
        assert MARK.encode() not in response.content


@pytest.mark.parametrize("who", ["stranger", "neighbour"])
def test_no_page_without_a_number_tells_of_another_company(place: Place, who):
    user = getattr(place, who)
    user.email = f"{who}@elsewhere.test"
    user.save()
    browser, seen = as_(user), 0
    for address in everything():
        if address.names or address.url.startswith(BACK_OFFICE):
            continue
        response = browser.get(address.url)
        assert response.status_code < 500, address.route
        content = b"".join(response.streaming_content) if response.streaming else response.content
        for told in (
            f"{MARK} School",
            f"{MARK} grounds",
            f"{MARK} wall",
            f"{MARK} lawn",
            f"{MARK} is cooler",
        ):
            assert told.encode() not in content, f"{address.route} tells of {told}"
        seen += response.status_code == 200
    assert seen >= 3


def test_the_back_office_lets_no_owner_in(place: Place):
    browser = as_(place.owner)
    for address in everything():
        if not address.url.startswith(BACK_OFFICE) or address.url.endswith(
            ("/login/", "/logout/", "/jsi18n/")
        ):
            continue
        response = browser.get(address.url)
        assert response.status_code in (302, 404), address.route
        if response.status_code == 302:
            assert "/login/" in response["Location"], address.route


def test_a_person_without_a_company_is_shown_nothing(place: Place):
    nobody = User.objects.create_user("nobody@elsewhere.test", PASSWORD)
    assert refusals(nobody) == []
