"""One draft, two connections at the same moment: one site, one history, nothing half made."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import connections

from common.errors import MovedOn
from fleet.models import Controller, SetUpDraft, Site, Zone
from fleet.services.drafts import OtherWay, Page, save_part, start_draft
from scheduling.services.set_up import CantCreate, SaidBox, SaidProgram, SaidRun, SaidSite, create_site
from tests.cast import TIMEZONE, TODAY, Cast, a_cast

PLACE = {
    "name": "Court", "latitude": 39.21, "longitude": -121.06, "elevation_m": 300.0, "timezone": TIMEZONE,
}  # fmt: skip


def said(zones: int = 3, **fields: Any) -> SaidSite:
    rows = [{"number": n, "name": f"Bed {n}"} for n in range(1, zones + 1)]
    program = SaidProgram("A", days="daily", starts=["04:00"], percent=90, runs=[SaidRun(1, minutes=9)])
    box = SaidBox("1", {"name": "Garage"}, zones=rows, night=TODAY, programs=[program])
    return SaidSite(client={"name": "Marsh Court"}, place=PLACE, boxes=[box], **fields)


@pytest.fixture
def company(transactional_db: None, on_the_day: Any) -> Cast:
    return a_cast()


@pytest.mark.parametrize("turn", range(3))
@pytest.mark.django_db(transaction=True)
def test_pressed_twice_at_once_it_is_created_once(company: Cast, turn):
    draft = start_draft(company=company.company, by=company.owner)
    gate = Barrier(3)

    def create(_: int) -> int:
        try:
            gate.wait(timeout=10)
            return create_site(draft=draft, by=company.owner, said=said(), seen=draft.version).pk
        finally:
            connections.close_all()

    with ThreadPoolExecutor(3) as pool:
        made = set(pool.map(create, range(3)))
    assert len(made) == 1
    assert Site.objects.filter(name="Court").count() == 1
    assert Zone.objects.filter(controller__name="Garage").count() == 3


@pytest.mark.django_db(transaction=True)
def test_two_pages_at_once_one_is_kept_and_the_other_told(company: Cast):
    draft = start_draft(company=company.company, by=company.owner)
    gate = Barrier(2)

    def keep(name: str) -> str:
        try:
            mine = SetUpDraft.objects.get(pk=draft.pk)
            gate.wait(timeout=10)
            save_part(
                draft=mine, by=company.owner, part="client", texts={"name": name}, page=Page(name, 1, "0")
            )
        except OtherWay:
            return "told"
        finally:
            connections.close_all()
        return name

    with ThreadPoolExecutor(2) as pool:
        outcome = list(pool.map(keep, ["Marsh Court", "Marsh Square"]))
    assert outcome.count("told") == 1
    draft.refresh_from_db()
    assert draft.data["client"]["texts"]["name"] in outcome


@pytest.mark.django_db
def test_whatever_fails_last_leaves_nothing(cast: Cast):
    draft = start_draft(company=cast.company, by=cast.owner)
    before = (Site.objects.count(), Controller.objects.count(), Zone.objects.count())
    with pytest.raises(CantCreate) as trouble:
        create_site(draft=draft, by=cast.owner, said=said(readers=["not an address"]), seen=draft.version)
    assert trouble.value.step == "access"
    assert (Site.objects.count(), Controller.objects.count(), Zone.objects.count()) == before
    draft.refresh_from_db()
    assert draft.finished_at is None


@pytest.mark.django_db
def test_a_draft_somebody_went_on_with_is_looked_at_again(cast: Cast):
    draft = start_draft(company=cast.company, by=cast.owner)
    with pytest.raises(MovedOn):
        create_site(draft=draft, by=cast.owner, said=said(), seen=draft.version - 1)
    assert not Site.objects.filter(name="Court").exists()


@pytest.mark.django_db
def test_a_site_removed_since_is_not_made_again(cast: Cast):
    draft = start_draft(company=cast.company, by=cast.owner)
    create_site(draft=draft, by=cast.owner, said=said(), seen=draft.version).delete()
    with pytest.raises(MovedOn):
        create_site(draft=draft, by=cast.owner, said=said(), seen=draft.version)
