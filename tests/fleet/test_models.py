"""What the database and the models refuse about sites, controllers and zones."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from fleet.models import (
    Client,
    Company,
    Controller,
    Site,
    SoilObservation,
    Tariff,
    WateringRule,
    WaterSource,
    Zone,
    ZoneEpisode,
    ZoneTrim,
)
from fleet.tenancy import TenantQuerySet, client_is_open, visible
from scheduling.models import NightlyRun
from tests.cast import TODAY, Cast, a_site, a_zone

pytestmark = pytest.mark.django_db


def refuses(model, **fields) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        model.objects.create(**fields)


def test_names_are_given_once(cast: Cast):
    refuses(Client, company=cast.company, name=cast.client.name)
    refuses(Controller, site=cast.site, name=cast.controller.name)
    refuses(Zone, controller=cast.controller, number=1, name="Again")
    Client.objects.create(company=Company.objects.create(name="Other"), name=cast.client.name)


@pytest.mark.parametrize(
    "wrong",
    [
        {"latitude": 91.0},
        {"longitude": -181.0},
        {"season": "winter"},
    ],
)
def test_a_site_lies_on_earth(cast: Cast, wrong):
    place = {"latitude": 0.0, "longitude": 0.0, "elevation_m": 0.0, "timezone": "UTC", "season": "open"}
    refuses(Site, client=cast.client, name="Nowhere", **{**place, **wrong})


@pytest.mark.parametrize("name", ["America/Nowhere", "PDT+8", "../etc/passwd", ""])
def test_a_time_zone_that_does_not_exist_is_refused(cast: Cast, name):
    with pytest.raises(ValidationError) as refusal:
        Site(client=cast.client, name="X", latitude=1, longitude=1, elevation_m=1, timezone=name).full_clean()
    assert set(refusal.value.message_dict) == {"timezone"}


def test_a_site_takes_rules_and_prices_of_its_own_company_only(cast: Cast):
    other = Company.objects.create(name="Other")
    site = a_site(cast.client, "Fresh")
    site.watering_rule = WateringRule.objects.create(company=other, name="Town")
    with pytest.raises(ValidationError, match="another company"):
        site.full_clean()
    site.watering_rule = WateringRule.objects.create(company=cast.company, name="Town")
    site.tariff = Tariff.objects.create(company=other, name="Flat", price_per_m3="1.0")
    with pytest.raises(ValidationError, match="another company"):
        site.full_clean()
    site.tariff = None
    site.full_clean()


def test_a_controller_takes_water_at_its_own_client_only(cast: Cast):
    neighbour = Client.objects.create(company=cast.company, name="Neighbour")
    tap = WaterSource.objects.create(site=a_site(neighbour), name="Tap")
    well = WaterSource.objects.create(site=a_site(cast.client, "Same client"), name="Well")
    cast.controller.source = tap
    with pytest.raises(ValidationError, match="another client"):
        cast.controller.full_clean()
    cast.controller.source = well
    cast.controller.full_clean()


@pytest.mark.parametrize(
    "wrong",
    [
        {"percent_step": 0},
        {"percent_step": 101},
        {"percent_max": 99},
        {"percent_max": 501},
        {"minute_step": 0.0},
        {"zones_at_once": 0},
        {"percent_scope": "valve"},
    ],
)
def test_a_controller_that_can_not_be_is_refused(cast: Cast, wrong):
    refuses(Controller, site=cast.site, name="Shed", **wrong)


@pytest.mark.parametrize(
    "wrong",
    [
        {"number": 0},
        {"area_m2": 0.0},
        {"root_depth_mm": -1.0},
        {"wetted_share": 0.0},
        {"wetted_share": 1.01},
        {"uniformity": 0.0},
        {"uniformity": 1.01},
        {"precipitation_rate_mm_h": 0.0},
        {"slope_percent": 101.0},
        {"flow_l_min": 0.0},
    ],
)
def test_a_zone_that_can_not_be_is_refused(cast: Cast, wrong):
    refuses(Zone, controller=cast.controller, **{"number": 9, "name": "Bed", **wrong})


def test_what_a_survey_left_out_stays_empty(cast: Cast):
    zone = a_zone(cast.controller, 5)
    assert (zone.plant, zone.area_m2, zone.uniformity, zone.basis) == ("", None, None, {})


@pytest.mark.parametrize("basis", [{"area_m2": "guessed"}, {"colour": "measured"}, ["measured"]])
def test_the_basis_names_a_surveyed_field_and_one_of_three_words(cast: Cast, basis):
    cast.zone.basis = basis
    with pytest.raises(ValidationError) as refusal:
        cast.zone.full_clean()
    assert set(refusal.value.message_dict) == {"basis"}
    cast.zone.basis = {"area_m2": "measured", "soil": "assumed", "head": "table"}
    cast.zone.full_clean()


def test_facts_from_the_garden_stay_in_bounds(cast: Cast):
    zone = cast.zone
    refuses(SoilObservation, zone=zone, date=TODAY, depletion_share=1.1)
    refuses(ZoneTrim, zone=zone, factor=0, reason="x", effective_from=TODAY)
    refuses(ZoneEpisode, zone=zone, kind="off", effective_from=TODAY, effective_to=date(2026, 7, 5))
    refuses(ZoneEpisode, zone=zone, kind="forgotten", effective_from=TODAY)
    SoilObservation.objects.create(zone=zone, date=TODAY, depletion_share=0.5)
    refuses(SoilObservation, zone=zone, date=TODAY, depletion_share=0.6)


@pytest.mark.parametrize(
    ("days", "fits"),
    [
        ("", True),
        ("mon wed fri", True),
        ("mon", True),
        ("mon,wed", False),
        ("monday", False),
        ("mon ", False),
    ],
)
def test_watering_days_of_a_rule_are_written_as_weekdays(cast: Cast, days, fits):
    rule = WateringRule(company=cast.company, name="Town", weekdays=days)
    if fits:
        rule.full_clean()
    else:
        with pytest.raises(ValidationError):
            rule.full_clean()


def test_what_belongs_to_no_company_is_visible_to_nobody_and_has_no_company(cast: Cast):
    assert not NightlyRun.objects.filter(visible(NightlyRun, cast.owner)).exists()
    with pytest.raises(TypeError, match="belongs to no company"):
        TenantQuerySet(NightlyRun).of_company(cast.company.pk)


def test_who_is_not_signed_in_sees_nothing(cast: Cast):
    from django.contrib.auth.models import AnonymousUser

    assert not Site.objects.visible_to(AnonymousUser()).exists()


@pytest.mark.parametrize(("day", "is_open"), [(None, False), (date(2026, 7, 7), False), (TODAY, True)])
def test_access_is_open_from_its_day_on(on_the_day, day, is_open):
    assert client_is_open(day) is is_open
