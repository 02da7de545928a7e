"""What is remembered of a fleet, and what makes it be made anew."""

from datetime import time

import pytest

from fleet.models import WateringRule
from scheduling.models import Setting, Skip
from scheduling.selectors.remembered import remembered
from tests.cast import TODAY, Cast, a_program, a_zone

pytestmark = pytest.mark.django_db


@pytest.fixture
def made(cast: Cast) -> list[int]:
    return []


def ask(cast: Cast, made: list[int], name: str = "night") -> int:
    def make() -> int:
        made.append(1)
        return len(made)

    return remembered(name, cast.company.pk, make)


def test_it_is_made_once_while_nothing_changes(cast: Cast, made):
    assert [ask(cast, made) for _ in range(3)] == [1, 1, 1]
    assert ask(cast, made, "other") == 2


def test_whatever_is_entered_makes_it_be_made_anew(cast: Cast, made):
    def setting() -> None:
        Setting.objects.create(program=cast.program, percent=80, effective_from=TODAY)

    def corrected() -> None:
        row = Setting.objects.get(program=cast.program, effective_from=TODAY)
        row.percent = 85
        row.save()

    def skip() -> None:
        Skip.objects.create(program=cast.program, effective_from=TODAY, effective_to=TODAY, reason="Rain.")

    def no_skip() -> None:
        Skip.objects.all().delete()

    def program() -> None:
        a_program(cast.controller, "Q").runs.create(zone=a_zone(cast.controller, number=7), minutes=3)

    def rule() -> None:
        cast.site.watering_rule = WateringRule.objects.create(
            company=cast.company, name="by six", hours_to=time(6)
        )
        cast.site.save()

    def season() -> None:
        cast.site.season = "closed"
        cast.site.save()

    for n, change in enumerate((setting, corrected, skip, no_skip, program, rule, season), start=1):
        before = ask(cast, made)
        change()
        assert ask(cast, made) == before + 1, change.__name__
        assert len(made) == n + 1


def test_it_costs_one_question(cast: Cast, made, django_assert_num_queries):
    ask(cast, made)
    with django_assert_num_queries(1):
        ask(cast, made)
