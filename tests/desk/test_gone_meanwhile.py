"""What somebody else removed in the very moment it was written is told; nobody meets an error."""

import json
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from common.errors import Gone
from desk.pages.how_we_work import prices
from fleet.models import SettingEdit, SetUpDraft, Tariff, ZoneEpisode, ZonePreset, ZoneRound
from fleet.services.drafts import Page, discard_draft, save_part
from fleet.services.edits import change_row
from fleet.services.episodes import edit_episode, end_episode
from fleet.services.rounds import end_round
from scheduling.models import Advice
from scheduling.services.advising import dismiss, take_up
from scheduling.services.proposing import propose
from tests.cast import TODAY, Cast

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def test_services_say_so(cast: Cast):
    draft = SetUpDraft.objects.create(company=cast.company, by=cast.owner)
    price = Tariff.objects.create(company=cast.company, name="Town", price_per_m3=2)
    stretch = cast.zone.episodes.create(kind="off", effective_from=TODAY)
    going = ZoneRound.objects.create(site=cast.site, began_on=TODAY)
    line = Advice.objects.create(
        controller=cast.controller, kind="uneven heads", key="1", found_on=TODAY, looked_on=TODAY
    )
    for model in (SetUpDraft, Tariff, ZoneEpisode, ZoneRound, Advice):
        model._default_manager.all().delete()
    page = Page("one", 1, "0")
    for act in (
        lambda: discard_draft(draft=draft, by=cast.owner, seen=0),
        lambda: save_part(draft=draft, by=cast.owner, part="client", texts={}, page=page),
        lambda: change_row(row=price, by=cast.owner, company_id=cast.company.pk, decide=lambda row: {}),
        lambda: edit_episode(episode=stretch, by=cast.office, note="Well is dry."),
        lambda: end_episode(episode=stretch, by=cast.office, on=TODAY),
        lambda: end_round(round=going, by=cast.technician, on=TODAY),
        lambda: dismiss(advice=line, by=cast.office, why="Known."),
        lambda: take_up(advice=line, by=cast.office),
        lambda: propose(advice=line, by=cast.office),
    ):
        with pytest.raises(Gone):
            act()
    assert not ZoneEpisode.objects.exists(), "what was taken away isn't written anew"


def test_a_page_answers_that_it_is_not_there(cast: Cast, owner: Client, monkeypatch):
    price = Tariff.objects.create(company=cast.company, name="Town", price_per_m3=2)
    address = f"/settings/prices/{price.pk}/"
    was = owner.get(address).context["sheet"].was

    def faster(request: Any, pk: int, found: Any = prices.PRICES.row) -> Tariff:
        row: Tariff = found(request, pk)
        Tariff.objects.filter(pk=pk).delete()
        return row

    monkeypatch.setattr(prices.PRICES, "row", faster)
    assert owner.post(address, json.loads(was) | {"was": was, "name": "Village"}).status_code == 404


def test_two_who_set_one_stretch_right_at_once_both_count(cast: Cast):
    """What the second read before the first had written is not written back."""
    cast.zone.episodes.create(kind="off", effective_from=TODAY - timedelta(days=4))
    opened = ZoneEpisode.objects.select_related("zone__controller__site__client").get()
    end_episode(episode=ZoneEpisode.objects.get(), by=cast.office, on=TODAY)
    edit_episode(episode=opened, by=cast.technician, note="Well is dry.")
    stretch = ZoneEpisode.objects.get()
    assert (stretch.note, stretch.effective_to) == ("Well is dry.", TODAY - timedelta(days=1))


def test_taking_back_a_kind_leads_back_to_it(cast: Cast, owner: Client):
    kind = ZonePreset.objects.create(
        company=cast.company, name="Bed", plant="flowers", head="drip", soil="loam", sun="full",
        slope_percent=1, wetted_share=1,
    )  # fmt: skip
    change_row(row=kind, by=cast.owner, company_id=cast.company.pk, decide=lambda row: {"soil": "sand"})
    answer = owner.post(f"/settings/edits/{SettingEdit.objects.get().pk}/take-back/")
    assert answer["Location"] == f"/settings/kinds/{kind.pk}/"
    kind.refresh_from_db()
    assert kind.soil == "loam"
