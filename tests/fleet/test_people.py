"""People, their addresses and their roles."""

import pytest
from django.contrib.auth import authenticate
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.http import HttpRequest

from common.errors import NotAllowed
from fleet.models import Membership, User
from fleet.selectors.people import may_decide, may_enter, require_decide, require_enter
from tests.cast import PASSWORD, Cast, person

pytestmark = pytest.mark.django_db


def test_an_address_is_kept_in_lower_case_however_it_was_written():
    assert person("  Ann.Reed@Larkspur.TEST ").email == "ann.reed@larkspur.test"
    user = User(email="Bo@Larkspur.TEST")
    user.save()
    assert User.objects.get(pk=user.pk).email == "bo@larkspur.test"


def test_a_person_signs_in_with_any_spelling_of_the_address():
    ann = person("ann@larkspur.test")
    for spelling in ("ann@larkspur.test", "ANN@Larkspur.test", " ann@larkspur.test"):
        request = HttpRequest()
        request.META["REMOTE_ADDR"] = "127.0.0.1"
        assert authenticate(request, username=spelling, password=PASSWORD) == ann


def test_one_address_is_one_person():
    person("ann@larkspur.test")
    with pytest.raises(ValidationError):
        person("Ann@Larkspur.test")
    with pytest.raises(IntegrityError), transaction.atomic():
        User.objects.bulk_create([User(email="ANN@larkspur.test")])


def test_an_address_must_be_one():
    with pytest.raises(ValidationError):
        person("ann")


def test_a_superuser_may_open_the_back_office():
    keeper = User.objects.create_superuser("keeper@larkspur.test", PASSWORD)
    assert keeper.is_staff
    assert keeper.is_superuser
    assert keeper.check_password(PASSWORD)


def test_a_person_is_named_by_name_or_else_by_address():
    assert str(person("ann@larkspur.test", name="Ann Reed")) == "Ann Reed"
    assert str(person("bo@larkspur.test")) == "bo@larkspur.test"


def test_owner_and_office_decide_and_everybody_of_the_company_enters(cast: Cast, stranger):
    people = (cast.owner, cast.office, cast.technician, cast.client_person, stranger)
    assert [may_decide(p, cast.company.pk) for p in people] == [True, True, False, False, False]
    assert [may_enter(p, cast.company.pk) for p in people] == [True, True, True, False, False]
    with pytest.raises(NotAllowed):
        require_decide(cast.technician, cast.company.pk)
    with pytest.raises(NotAllowed):
        require_enter(stranger, cast.company.pk)


def test_a_role_is_per_company(cast: Cast, stranger):
    elsewhere = stranger.company_ids()[0]
    Membership.objects.create(user=stranger, company=cast.company, role="technician")
    both = User.objects.get(pk=stranger.pk)
    assert both.role_in(elsewhere) == "owner"
    assert both.role_in(cast.company.pk) == "technician"
    assert sorted(both.company_ids()) == sorted([elsewhere, cast.company.pk])
    assert not may_decide(both, cast.company.pk)


def test_a_person_has_one_role_in_a_company(cast: Cast):
    with pytest.raises(IntegrityError), transaction.atomic():
        Membership.objects.create(user=cast.owner, company=cast.company, role="office")
    with pytest.raises(IntegrityError), transaction.atomic():
        Membership.objects.create(user=person("a@larkspur.test"), company=cast.company, role="boss")


def test_a_person_who_works_here_and_is_a_client_there_sees_both(cast: Cast, stranger):
    from fleet.models import Client, ClientAccess, Site

    ClientAccess.objects.create(user=stranger, client=cast.client)
    both = User.objects.get(pk=stranger.pk)
    own = Client.objects.create(company_id=both.company_ids()[0], name="Own client")
    assert set(Client.objects.visible_to(both)) == {own, cast.client}
    assert list(Site.objects.visible_to(both)) == [cast.site]
