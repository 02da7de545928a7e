"""The admin pages of weather open, and what the service writes itself can't be changed there."""

import pytest
from django.apps import apps
from django.contrib import admin
from django.contrib.auth import get_user_model
from django.test import RequestFactory
from django.urls import reverse
from django.utils import timezone

from tests.weather.conftest import ON, observed
from weather.models import FetchDay, ForecastDay, MonthlyNormal, ObservedDay, SourceUsage

pytestmark = pytest.mark.django_db

MODELS = list(apps.get_app_config("weather").get_models())


@pytest.fixture
def administrator():
    return get_user_model().objects.create_superuser("office@heron.test", "three herons at dawn")


@pytest.fixture
def one_of_each(cell):
    observed(cell, ON)
    ForecastDay.objects.create(cell=cell, date=ON, issued_at=timezone.now())
    FetchDay.objects.create(cell=cell, date=ON)
    MonthlyNormal.objects.create(cell=cell, month=7, reference_et_mm=6.5)
    SourceUsage.objects.create(source="s", window="day", window_start=timezone.now())


@pytest.mark.parametrize("model", MODELS)
def test_every_list_shows_its_rows(model, client, administrator, one_of_each):
    client.force_login(administrator, backend="django.contrib.auth.backends.ModelBackend")
    page = client.get(reverse(f"admin:weather_{model._meta.model_name}_changelist"))
    assert page.status_code == 200
    assert page.context["cl"].result_count == 1


@pytest.mark.parametrize("model", MODELS)
def test_only_an_observed_day_may_be_corrected_by_hand(model, administrator):
    request = RequestFactory().get("/")
    request.user = administrator
    page = admin.site.get_model_admin(model)
    may = page.has_change_permission(request), page.has_add_permission(request)
    assert may == ((True, True) if model is ObservedDay else (False, False))
