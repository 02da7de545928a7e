import time
import pytest
from fleet.models import Controller
from scheduling.selectors.year_card import year_card
from common import clock

pytestmark = pytest.mark.django_db


def test_print(demo):
    for c in Controller.objects.select_related("site__client", "site__watering_rule", "site__cell")[:14]:
        t = time.time()
        card = year_card(c, on=clock.today(c.site.timezone))
        print(c.site, c, card.lacks, f"{time.time() - t:.2f}", [f"{e:.1f}" for e in card.et_mm_day])
        for g in card.groups:
            print(
                "   ",
                [p.letter + " " + p.days for p in g.programs],
                [f"{m.percent}{'s' if m.shortened else ''}{'D' if m.dry_zone else ''}" for m in g.months],
                g.left_out,
            )
