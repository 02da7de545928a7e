"""The demo never goes over anybody else's rows, and comes whole or not at all."""

import pytest
from django.core.management import CommandError, call_command

from common.errors import Refused
from fleet.models import Company, User
from scheduling.demo import loading, rounds
from weather.models import WeatherCell

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("options", [(), ("--fresh",)])
def test_somebody_else_s_company_is_left_alone(options):
    Company.objects.create(name="Nearby Irrigation")

    with pytest.raises(CommandError, match="Nothing was changed"):
        call_command("load_demo", *options)
    assert [company.name for company in Company.objects.all()] == ["Nearby Irrigation"]
    assert not WeatherCell.objects.exists()


def test_somebody_who_signs_in_under_a_demo_address_keeps_it_out():
    User.objects.create_user("owner@bluestem.example", "another password")

    with pytest.raises(CommandError):
        call_command("load_demo")
    assert not Company.objects.exists()


def test_the_services_refuse_by_themselves():
    Company.objects.create(name="Nearby Irrigation")

    with pytest.raises(Refused):
        loading.load()
    with pytest.raises(Refused):
        loading.remove()


def test_an_empty_database_has_nothing_to_remove():
    with pytest.raises(Refused):
        loading.remove()


def test_a_fault_half_way_leaves_nothing_behind(monkeypatch):
    def breaks(rows: object) -> None:
        raise RuntimeError("half way")

    monkeypatch.setattr(rounds, "add_findings", breaks)

    with pytest.raises(RuntimeError):
        call_command("load_demo")
    assert loading.state() == loading.EMPTY
    assert not WeatherCell.objects.exists()
