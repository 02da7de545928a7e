"""Controller cards of the demo: without cycle and soak the same minutes, and soaks no shorter."""

import re
from collections import defaultdict
from datetime import time
from itertools import pairwise

import pytest

from common import clock
from fleet.models import Controller
from scheduling.models import ZoneRun
from scheduling.selectors.card import Card, controller_card

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # long, and as good on one database
NOON = time(12, 0)


def minute(at: time) -> int:
    """Return minutes after noon."""
    return (at.hour * 60 + at.minute - 720) % 1440


def waterings(card: Card) -> dict[int, list[tuple[float, float]]]:
    """Return when each zone is open on a night all programs run, one zone after another."""
    spans = defaultdict(list)
    for keyed in card.programs:
        for start in keyed.starts:
            at = float(minute(start))
            for line in keyed.lines:
                spans[line.zone.pk].append((at, at + line.runs_minutes))
                at += line.runs_minutes
    return {zone: sorted(own) for zone, own in spans.items()}


def said_lost(card: Card, letter: str) -> dict[int, float]:
    """Return what the card says each zone of a program gets less in one start, more being negative."""
    (words,) = [w for w in card.warnings if re.match(rf"Program {letter}: the minutes can't", w)] or [""]
    found = re.findall(r"zone (\d+) (\S+) min (less|more)", words)
    return {int(zone): float(minutes) * (1 if way == "less" else -1) for zone, minutes, way in found}


def said_longer(card: Card, letter: str) -> float:
    """Return by how much the card says a program's runs pass what the soil takes at once."""
    pattern = rf"Program {letter}: .* Runs are up to (\S+) min longer"
    found = [match[1] for words in card.warnings if (match := re.match(pattern, words))]
    return float(found[0]) if found else 0.0


def boxes() -> list[Controller]:
    return list(Controller.objects.select_related("site__client", "site__watering_rule"))


def test_the_card_says_what_is_held(demo):
    for box in boxes():
        card = controller_card(box, night=clock.today(box.site.timezone))
        for keyed in card.programs:
            if not keyed.instead_of and box.cycle_and_soak:
                held = {run.zone_id: run.minutes for run in ZoneRun.objects.filter(program=keyed.program)}
                assert {line.zone.pk: line.minutes for line in keyed.lines} == held


@pytest.mark.parametrize(
    ("starts", "letters", "loses"), [(12, 12, False), (4, 0, True)], ids=["enough of all", "too little"]
)
def test_without_cycle_and_soak_minutes_stay_and_soaks_are_no_shorter(
    demo, starts: int, letters: int, loses: bool
):
    """What a card can't keep it says by zone and minutes, and it keeps everything else."""
    split = lost_some = 0
    for box in boxes():
        whole = controller_card(box, night=clock.today(box.site.timezone))
        if not box.cycle_and_soak or len(whole.programs) * 2 > 8:
            continue
        box.cycle_and_soak, box.starts_per_program = False, starts
        box.program_capacity = letters or len(whole.programs)
        box.zones_at_once = 1
        card = controller_card(box, night=whole.night)
        spans = waterings(card)
        for keyed in whole.programs:
            many = len(keyed.starts)
            for line in keyed.lines:
                own = [p for p in card.programs if p.program == keyed.program]
                keyed_in = sum(
                    one.minutes * len(p.starts) for p in own for one in p.lines if one.zone == line.zone
                )
                lost = said_lost(card, keyed.letter).get(line.zone.number, 0.0)
                lost_some += bool(lost)
                assert keyed_in == pytest.approx((line.minutes - lost) * many, abs=1e-3), (box, line)
                if line.cycle and len(own) and sum(p.program == keyed.program for p in whole.programs) == 1:
                    split += 1
                    run = ZoneRun.objects.get(program=keyed.program, zone=line.zone)
                    waits = spans[line.zone.pk]
                    for now, then in pairwise(waits):
                        assert then[0] - now[1] >= run.soak - 1e-6, (box, line, waits)
                    longest = run.cycle + said_longer(card, keyed.letter) * max(1, keyed.percent / 100)
                    assert all(end - begin <= longest + 1e-3 for begin, end in waits), (box, line, waits)
    assert split > 40
    assert bool(lost_some) == loses


def test_starts_of_a_program_stay_on_one_side_of_midnight(demo):
    for box in boxes():
        box.cycle_and_soak, box.starts_per_program, box.program_capacity = False, 12, 12
        for keyed in controller_card(box, night=clock.today(box.site.timezone)).programs:
            evening = [start >= NOON for start in keyed.program.start_times()]
            if all(evening):
                assert all(start >= NOON for start in keyed.starts), keyed


def test_too_few_starts_are_said(demo):
    box = next(
        one
        for one in boxes()
        if ZoneRun.objects.filter(program__controller=one, cycle__isnull=False).exists()
    )
    box.cycle_and_soak, box.starts_per_program, box.program_capacity = False, 1, 1
    assert any("too few starts" in words for words in controller_card(box, night=clock.today("UTC")).warnings)
