"""Every model says which company its rows belong to."""

import pytest
from django.apps import apps
from django.db import models

from fleet.history import Earlier
from fleet.models import Client, Company
from fleet.tenancy import TenantModel, TenantQuerySet
from tests.cast import Cast
from tests.rows import MAKERS

OURS = ("weather", "fleet", "scheduling", "reports", "desk")
EVERY = [m for app in OURS for m in apps.get_app_config(app).get_models(include_auto_created=True)]
EARLIER = [m for m in EVERY if issubclass(m, Earlier)]  # what rows were before: the back office's alone
MODELS = [m for m in EVERY if m not in EARLIER]

# Rows of no company, each with its reason. A new one must be added here, and be argued for.
SHARED = {
    "fleet.Meter_zones": "which zones hang on a meter; reached from either, and both say whose they are",
    "fleet.User": "a person may work for one company and be a client of another",
    "fleet.User_groups": "rights in the back office, by person",
    "fleet.User_user_permissions": "rights in the back office, by person",
    "scheduling.NightlyRun": "one run serves all companies of a time zone; each reads NightlyRunCompany",
    "weather.FetchDay": "weather of a piece of the map",
    "weather.ForecastDay": "weather of a piece of the map",
    "weather.MonthlyNormal": "weather of a piece of the map",
    "weather.ObservedDay": "weather of a piece of the map",
    "weather.SourceUsage": "the allowance of a source is the installation's",
    "weather.WeatherCell": "a piece of the map",
}
TENANTS = [m for m in MODELS if m._meta.label not in SHARED]


def end_of(model: type[models.Model], path: str) -> type[models.Model]:
    """Return the model a chain of forward relations ends at."""
    for name in filter(None, path.split("__")):
        field = model._meta.get_field(name)
        assert isinstance(field, models.ForeignKey), f"{model._meta.label}.{name} fans out"
        model = field.related_model  # type: ignore[assignment]
    return model


@pytest.mark.parametrize("model", MODELS, ids=lambda m: m._meta.label)
def test_a_model_declares_its_path_to_the_company_or_is_shared_for_a_listed_reason(model):
    if model._meta.auto_created:
        assert model._meta.label in SHARED
        return
    assert hasattr(model, "company_path"), f"{model._meta.label} does not say whose its rows are"
    assert (model.company_path is None) == (model._meta.label in SHARED)


def test_no_reason_outlives_its_model():
    assert set(SHARED) <= {m._meta.label for m in MODELS}


@pytest.mark.parametrize("model", TENANTS, ids=lambda m: m._meta.label)
def test_a_path_leads_to_the_company_and_to_the_client(model):
    assert issubclass(model, TenantModel)
    assert end_of(model, model.company_path) is Company
    if model.client_path is not None:
        assert end_of(model, model.client_path) is Client


@pytest.mark.parametrize("model", TENANTS, ids=lambda m: m._meta.label)
def test_rows_start_from_one_query_method(model):
    assert isinstance(model._default_manager.all(), TenantQuerySet)


def test_every_model_of_a_company_has_a_row_to_try():
    assert {m.__name__ for m in TENANTS} <= {m.__name__ for m in MAKERS}, "Add it to tests/rows.py"


@pytest.mark.django_db
@pytest.mark.parametrize("model", [m for m in TENANTS if m in MAKERS], ids=lambda m: m.__name__)
def test_only_the_own_people_see_a_row(cast: Cast, stranger, model):
    row = cast.company if model is Company else MAKERS[model](cast, 1)
    for person in (cast.owner, cast.office, cast.technician):
        assert model.objects.visible_to(person).filter(pk=row.pk).exists()
    assert not model.objects.visible_to(stranger).filter(pk=row.pk).exists()
    assert model.objects.of_company(cast.company.pk).filter(pk=row.pk).exists()
    assert not model.objects.of_company(stranger.company_ids()[0]).filter(pk=row.pk).exists()


# What a client may read of their own sites. Everything else is the company's alone.
CLIENTS_READ = {
    "Client", "ClientNote", "Controller", "Program", "ProgramMonth", "Setting", "Site", "SiteCorrection",
    "SiteRain", "Skip", "SoilObservation", "WaterSource", "Zone", "ZoneCut", "ZoneEpisode", "ZoneRun",
    "ZoneTrim",
}  # fmt: skip


@pytest.mark.django_db
@pytest.mark.parametrize("model", [m for m in TENANTS if m in MAKERS], ids=lambda m: m.__name__)
def test_a_client_reads_only_what_is_listed_and_only_once_access_is_open(cast: Cast, model):
    row = cast.client if model is Client else MAKERS[model](cast, 1)
    of_client = model.client_path is not None and end_of(model, model.client_path) is Client
    assert of_client == (model.__name__ in CLIENTS_READ)
    if of_client:  # the maker may have hung the row on another client of the company
        chain = f"{model.client_path}__pk" if model.client_path else "pk"
        mine = set(model.objects.filter(**{chain: cast.client.pk}).values_list("pk", flat=True))
    else:
        mine = set()
    assert set(model.objects.visible_to(cast.client_person).values_list("pk", flat=True)) == mine
    Client.objects.filter(pk=cast.client.pk).update(access_from=None)
    later = type(cast.client_person).objects.get(pk=cast.client_person.pk)
    assert not model.objects.visible_to(later).exists()
    assert row.pk


@pytest.mark.django_db
@pytest.mark.parametrize("model", [m for m in MAKERS if hasattr(m, "history")], ids=lambda m: m.__name__)
def test_what_a_row_was_before_is_shown_to_nobody_not_even_its_own_people(cast: Cast, model):
    MAKERS[model](cast, 1)
    kept = model.history.model
    assert kept in EARLIER
    assert kept.objects.count() >= 1
    for person in (cast.owner, cast.office, cast.technician, cast.client_person):
        assert not kept.objects.visible_to(person).exists()
