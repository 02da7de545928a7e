"""A request that is sent twice is done once."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier
from typing import Any

import pytest
import time_machine
from django.db import connections
from django.utils import timezone
from rest_framework.test import APIClient

from fleet.models import Client, KeptAnswer
from fleet.services.repeats import forget_old_answers
from scheduling.models import ChangeEvent
from tests.cast import Cast, a_cast

URL = "/api/v1/clients/"


def post(api: Any, who: Any, name: str, key: str, url: str = URL) -> Any:
    api.force_authenticate(who)
    return api.post(url, {"name": name}, format="json", headers={"Idempotency-Key": key})


@pytest.mark.django_db
def test_sent_twice_it_is_done_once_and_answered_the_same(api, cast: Cast):
    first, second = (post(api, cast.office, "Marsh", "order-1") for _ in range(2))
    assert (first.status_code, first.json()) == (second.status_code, second.json())
    assert [a["ETag"] for a in (first, second)] == [first["ETag"]] * 2
    assert first["Location"] == second["Location"]
    assert ("Idempotent-Replay" in first, second["Idempotent-Replay"]) == (False, "true")
    assert Client.objects.filter(name="Marsh").count() == 1


@pytest.mark.django_db
def test_another_body_or_address_under_the_same_key_is_refused(api, cast: Cast):
    post(api, cast.office, "Marsh", "k")
    for answer in (
        post(api, cast.office, "Fen", "k"),
        post(api, cast.office, "Marsh", "k", "/api/v1/sites/"),
    ):
        assert (answer.status_code, answer["Content-Type"]) == (422, "application/problem+json")
    assert not Client.objects.filter(name="Fen").exists()


@pytest.mark.django_db
def test_the_order_of_fields_makes_no_other_body(api, cast: Cast):
    api.force_authenticate(cast.office)
    bodies = ('{"name": "Marsh", "phone": "1"}', '{"phone":"1","name":"Marsh"}')
    answers = [
        api.generic("POST", URL, body, "application/json", headers={"Idempotency-Key": "k"})
        for body in bodies
    ]
    assert [a.status_code for a in answers] == [201, 201]


@pytest.mark.django_db
def test_a_key_is_a_persons_own(api, cast: Cast, stranger):
    assert post(api, cast.office, "Marsh", "k").status_code == 201
    assert post(api, cast.owner, "Fen", "k").status_code == 201
    assert post(api, stranger, "Marsh", "k").status_code == 201


@pytest.mark.django_db
def test_what_did_nothing_may_be_mended_under_its_key(api, cast: Cast):
    assert post(api, cast.office, "", "k").status_code == 400
    assert post(api, cast.technician, "Marsh", "k").status_code == 403
    assert not KeptAnswer.objects.exists()
    assert post(api, cast.office, "Marsh", "k").status_code == 201


@pytest.mark.django_db
@pytest.mark.parametrize("key", ["x" * 201, "", "   ", "a\x07b", "a\tb", "naïve", "🌱"])
def test_a_key_that_is_none_is_told(api, cast: Cast, key):
    answer = post(api, cast.office, "Marsh", key)
    assert answer.status_code == 400
    assert [e["field"] for e in answer.json()["errors"]] == ["Idempotency-Key"]
    assert not Client.objects.filter(name="Marsh").exists()


@pytest.mark.django_db
def test_a_key_of_two_hundred_characters_is_one(api, cast: Cast):
    assert post(api, cast.office, "Marsh", "x" * 200).status_code == 201


@pytest.mark.django_db
def test_a_decision_is_taken_once(api, cast: Cast):
    api.force_authenticate(cast.office)
    url = f"/api/v1/changes/{cast.change.pk}/approve/"
    answers = [
        api.post(url, {"value": 90}, format="json", headers={"Idempotency-Key": "k"}) for _ in range(3)
    ]
    assert [a.status_code for a in answers] == [200] * 3
    assert answers[0].json() == answers[2].json()
    assert ChangeEvent.objects.count() == 1
    assert api.post(url, {"value": 90}, format="json").status_code == 409


@pytest.mark.django_db
def test_a_key_is_free_again_after_a_day(api, cast: Cast):
    post(api, cast.office, "Marsh", "k")
    with time_machine.travel(timezone.now() + timedelta(hours=23)):
        assert forget_old_answers() == 0
        assert post(api, cast.office, "Fen", "k").status_code == 422
    with time_machine.travel(timezone.now() + timedelta(hours=25)):
        assert post(api, cast.office, "Fen", "k").status_code == 201
        assert KeptAnswer.objects.count() == 1
    with time_machine.travel(timezone.now() + timedelta(hours=50)):
        assert forget_old_answers() == 1


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("turn", range(3))
def test_of_six_sent_at_once_one_is_done(on_the_day, turn):
    cast, gate = a_cast(), Barrier(6)

    def send(_: int) -> tuple[int, bool, int]:
        try:
            gate.wait(timeout=10)
            answer = post(APIClient(), cast.office, "Marsh", "k")
            return answer.status_code, "Idempotent-Replay" in answer, answer.json()["id"]
        finally:
            connections.close_all()

    with ThreadPoolExecutor(6) as pool:
        said = list(pool.map(send, range(6)))
    made = Client.objects.get(name="Marsh")
    assert sorted(said) == sorted([(201, False, made.pk)] + [(201, True, made.pk)] * 5)
