"""Which policy holds for a client."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from fleet.models import Client, Company, Policy
from fleet.selectors.policies import PolicyInForce, policies_of
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def policy_of(client: Client) -> PolicyInForce:
    return policies_of([client.pk])[client.pk]


def test_without_any_row_nothing_is_done_by_itself(cast: Cast):
    policy = policy_of(cast.client)
    assert (policy.auto_skips, policy.auto_move_points) == (False, 0)
    assert (policy.percent_min, policy.percent_max) == (0, 500)


def test_a_client_overrides_only_what_it_says(cast: Cast):
    Policy.objects.create(company=cast.company, auto_skips=True, auto_move_points=10, percent_max=150)
    Policy.objects.create(company=cast.company, client=cast.client, auto_move_points=20)
    other = Client.objects.create(company=cast.company, name="Other")
    policy = policy_of(cast.client)
    assert (policy.auto_skips, policy.auto_move_points, policy.percent_max) == (True, 20, 150)
    assert policy_of(other).auto_move_points == 10


def test_a_client_can_switch_off_what_the_company_switched_on(cast: Cast):
    Policy.objects.create(company=cast.company, auto_skips=True, auto_move_points=10, dead_band_points=5)
    Policy.objects.create(
        company=cast.company, client=cast.client, auto_skips=False, auto_move_points=0, dead_band_points=0
    )
    policy = policy_of(cast.client)
    assert (policy.auto_skips, policy.auto_move_points, policy.dead_band_points) == (False, 0, 0)


def test_another_companys_policy_does_not_count(cast: Cast):
    Policy.objects.create(company=Company.objects.create(name="Quillback"), auto_skips=True)
    assert policy_of(cast.client).auto_skips is False


def test_a_least_percent_above_the_greatest_of_the_other_row_gives_way(cast: Cast):
    Policy.objects.create(company=cast.company, percent_max=120)
    Policy.objects.create(company=cast.company, client=cast.client, percent_min=140)
    policy = policy_of(cast.client)
    assert (policy.percent_min, policy.percent_max) == (120, 120)


def test_policies_of_many_clients_take_two_queries(cast: Cast, django_assert_num_queries):
    clients = [Client.objects.create(company=cast.company, name=f"C{n}") for n in range(20)]
    with django_assert_num_queries(2):
        assert len(policies_of([c.pk for c in clients])) == 20


def test_a_company_and_a_client_have_one_policy_each(cast: Cast):
    for client in (None, cast.client):
        Policy.objects.create(company=cast.company, client=client)
        with pytest.raises(IntegrityError), transaction.atomic():
            Policy.objects.create(company=cast.company, client=client)


def test_a_policy_for_another_companys_client_is_refused(cast: Cast):
    policy = Policy(company=Company.objects.create(name="Quillback"), client=cast.client)
    with pytest.raises(ValidationError, match="another company"):
        policy.full_clean()


@pytest.mark.parametrize("wrong", [{"percent_min": 120, "percent_max": 100}, {"uniformity_margin": 1.2}])
def test_the_database_refuses_bounds_out_of_order(cast: Cast, wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        Policy.objects.create(company=cast.company, **wrong)
