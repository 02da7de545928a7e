"""A client's own policy: what is its own, what it takes from the company, in the company's units."""

from typing import Any

import pytest
from django.test import Client

from fleet.models import Policy
from fleet.selectors.client_policy import policy_lines
from fleet.selectors.policies import policies_of
from fleet.services.client_policy import seen_policy, set_client_policy
from tests.cast import Cast

pytestmark = pytest.mark.django_db


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().replace("\u00a0", " ").split())


def url(cast: Cast) -> str:
    return f"/clients/{cast.client.pk}/policy/"


def stored(cast: Cast) -> Policy | None:
    return Policy.objects.filter(client=cast.client).first()


def test_the_page_says_where_each_value_comes_from(cast: Cast, owner: Client) -> None:
    Policy.objects.create(company=cast.company, percent_max=150, auto_skips=True)
    Policy.objects.create(company=cast.company, client=cast.client, percent_max=120)
    told = {line.name: (line.value, line.source) for line in policy_lines(cast.client)}
    assert told["percent_max"] == (120, "this client's own")
    assert told["auto_skips"] == (True, "the company's")
    assert told["dead_band_points"] == (5, "usual")
    force = policies_of([cast.client.pk])[cast.client.pk]
    assert {line.name: line.value for line in policy_lines(cast.client)} == force.__dict__
    page = text(owner.get(f"/clients/{cast.client.pk}/"))
    assert '120 % <b class="tag">this client&#x27;s own</b>' in page


def test_values_are_typed_in_the_companys_units_and_stored_in_si(cast: Cast, owner: Client) -> None:
    typed = {
        "visit_worth_l": "500",
        "freeze_skip_below_c": "35.6",
        "wind_skip_above_m_s": "10",
        "uniformity_margin": "80",
        "percent_min": "40",
        "auto_skips": "no",
    }
    typed["seen"] = seen_policy(cast.client)
    assert owner.post(url(cast), typed).status_code == 302
    row = stored(cast)
    assert row is not None
    assert row.visit_worth_l == pytest.approx(1892.706, abs=0.001)  # 500 US gallons of 3.785412 L
    assert row.freeze_skip_below_c == pytest.approx(2.0)
    assert row.wind_skip_above_m_s == pytest.approx(4.4704)  # 10 mph of 0.44704 m/s
    assert (row.uniformity_margin, row.percent_min, row.auto_skips) == (0.8, 40, False)
    assert row.percent_max is None


def test_a_value_nobody_touched_keeps_every_digit(cast: Cast, owner: Client) -> None:
    Policy.objects.create(
        company=cast.company, client=cast.client, visit_worth_l=1234.5678, wind_skip_above_m_s=6.123
    )
    page = owner.get(url(cast))
    fields = {field.line.name: field.typed for field in page.context["fields"]}
    owner.post(url(cast), fields | {"seen": page.context["seen"], "percent_min": "30"})
    row = stored(cast)
    assert row is not None
    assert (row.visit_worth_l, row.wind_skip_above_m_s, row.percent_min) == (1234.5678, 6.123, 30)


def test_emptied_values_follow_the_company_again_and_the_last_takes_the_row(
    cast: Cast, owner: Client
) -> None:
    Policy.objects.create(company=cast.company, client=cast.client, percent_max=120)
    assert owner.post(url(cast), {"seen": seen_policy(cast.client)}).status_code == 302
    assert stored(cast) is None


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("percent_min", "501"),
        ("percent_min", "-1"),
        ("percent_min", "4.5"),
        ("percent_max", "many"),
        ("uniformity_margin", "101"),
        ("visit_worth_l", "1e9"),
        ("visit_worth_l", "nan"),
        ("wind_skip_above_m_s", "٣"),
        ("freeze_skip_below_c", "9" * 10_000),
        ("dead_band_points", "\0x"),
        ("auto_move_points", "🌱"),
        ("auto_skips", "maybe"),
    ],
)
def test_a_wrong_value_is_told_by_its_field_and_nothing_is_lost(
    cast: Cast, owner: Client, name: str, typed: str
) -> None:
    other = "percent_max" if name != "percent_max" else "percent_min"
    answer = owner.post(url(cast), {"seen": seen_policy(cast.client), other: "77", name: typed})
    assert answer.status_code == 422
    wrong = {field.line.name for field in answer.context["fields"] if field.error}
    assert wrong == {name}
    assert 'value="77"' in text(answer)
    assert stored(cast) is None


def test_a_least_percent_above_the_companys_greatest_is_refused(cast: Cast, owner: Client) -> None:
    Policy.objects.create(company=cast.company, percent_max=100)
    answer = owner.post(url(cast), {"seen": seen_policy(cast.client), "percent_min": "120"})
    assert answer.status_code == 422
    assert "The least percent (120) is above the greatest (100)." in text(answer)


def test_who_was_slower_stores_nothing(cast: Cast, owner: Client) -> None:
    seen = seen_policy(cast.client)
    set_client_policy(client=cast.client, by=cast.office, values={"percent_max": 110}, seen=seen)
    answer = owner.post(url(cast), {"seen": seen, "percent_max": "90"})
    assert answer.status_code == 409
    assert "Somebody has changed these values meanwhile." in text(answer)
    assert 'value="90"' in text(answer)
    row = stored(cast)
    assert row is not None
    assert row.percent_max == 110
    assert row.history.first().history_user == cast.office  # type: ignore[attr-defined]
