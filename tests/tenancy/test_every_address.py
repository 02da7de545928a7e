"""Every address with a number in it, asked by people the number's row isn't for.

All rows of the company asked about have the same id, so whatever an address means by its number, it means a
row of that company. Whoever adds an address with another kind of argument must teach ``argument`` about it.
"""

from datetime import timedelta
from typing import Any

import pytest
from django.db import transaction
from django.test import Client as Browser

from fleet.models import (
    Client,
    ClientAccess,
    ClientNote,
    Controller,
    Finding,
    Invitation,
    Membership,
    Meter,
    MeterBill,
    MeterReading,
    Photo,
    Policy,
    SettingEdit,
    SetUpDraft,
    SiteRain,
    Tariff,
    Town,
    User,
    Visit,
    WateringRule,
    ZonePreset,
)
from reports.models import Summary, SummaryStop
from scheduling.models import (
    Change,
    ChangeEvent,
    FieldEntry,
)
from tests.cast import PASSWORD, TODAY
from tests.tenancy.addresses import BACK_OFFICE, BACKEND, ID, MARK, METHODS, everything, with_numbers
from tests.tenancy.place import Place, place

__all__ = ["place"]
# Who is refused is asked before any row is read; what is opened is opened on PostgreSQL too.
REFUSED = pytest.mark.sqlite

SET = (
    ClientNote,
    Invitation,
    Membership,
    Meter,
    Policy,
    SetUpDraft,
    Summary,
    SummaryStop,
    Tariff,
    Town,
    WateringRule,
    ZonePreset,
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


@REFUSED
@pytest.mark.parametrize("who", ["stranger", "neighbour"])
def test_for_whom_a_row_is_not_it_does_not_exist(place: Place, who):
    before = snapshot()
    assert refusals(getattr(place, who)) == []
    assert snapshot() == before


@REFUSED
def test_until_access_is_open_a_client_is_a_stranger(place: Place):
    for closed in (None, TODAY + timedelta(days=1)):
        Client.objects.filter(pk=ID).update(access_from=closed)
        assert refusals(place.reader) == []


# What the reader of a client may open, once access is open: their own sites, nothing that is being decided.
READ_BY_CLIENTS = (
    "client-notes", "clients", "controllers", "episodes", "observations", "programs", "settings",
    "site-corrections", "sites", "skips", "summaries", "trims", "water-sources", "zones",
)  # fmt: skip
READERS_OPEN = {
    *(f"/api/v1/{rows}/<int:id>/" for rows in READ_BY_CLIENTS),
    "/api/v1/clients/<int:pk>/savings/",
    "/api/v1/sites/<int:id>/budget/",
    "/api/v1/sites/<int:id>/weather/",
    "/api/v1/controllers/<int:id>/timeline/",
    "/sites/<int:pk>/",
    "/sites/<int:pk>/notes/",
    "/notes/<int:pk>/withdraw/",
    *(f"/api/v1/client-notes/<int:id>/{what}/" for what in ("answer", "skip", "take-back", "withdraw")),
    "/sites/<int:pk>/history/",
    "/sites/<int:pk>/history.csv",
}


@pytest.mark.once
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
        ("POST", 403),  # what is the company's to do about their notes
        ("POST", 422),  # an empty note
    }
    assert snapshot() == before


@pytest.mark.once
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


@pytest.mark.once
def test_without_signing_in_every_address_leads_to_the_door(place: Place):
    for address in with_numbers():
        response = Browser(raise_request_exception=False).get(address.url)
        if response.status_code == 302:
            assert response["Location"].startswith("/sign-in/"), address.route
        else:
            assert response.status_code in (401, 404, 405), address.route
        assert MARK.encode() not in response.content


@pytest.mark.once
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


@pytest.mark.once
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


@REFUSED
def test_a_person_without_a_company_is_shown_nothing(place: Place):
    nobody = User.objects.create_user("nobody@elsewhere.test", PASSWORD)
    assert refusals(nobody) == []
