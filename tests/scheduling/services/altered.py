"""Gardens with one line of advice each, and the change it becomes."""

from typing import Any

from fleet.models import Zone
from scheduling.models import Advice, Change, Program, ZoneRun
from scheduling.services.advising import advise, open_sites
from scheduling.services.proposing import Proposed, propose
from tests.night.garden import ON, Garden, garden, policy, weather


def heron(settings: Any, **fields: Any) -> Garden:
    """Return a garden of two lawns, 36 minutes on four days a week, that is well set."""
    settings.AS_OF = ON
    usual: dict[str, Any] = {"minutes": 36.0, "zones": 2, "days": "mon wed fri sun"}
    made = garden(**(usual | fields))
    weather(made.cell)
    return made


def change_zone(zone: Zone, **fields: Any) -> None:
    Zone.objects.filter(pk=zone.pk).update(**fields)


def driven(of: Garden) -> Advice:
    """Let zone 1 ask for 140 % where the other would do with 100 %, its head being slower."""
    change_zone(of.zones[0], precipitation_rate_mm_h=12 / 1.4)
    Change.objects.create(
        program=of.program, kind="percent", current=100, proposed=140, effective_from=ON, reason="Dry.",
        deciding_zone=of.zones[0], inputs={"percent_without_deciding": 100},
    )  # fmt: skip
    return line("one zone drives")


def dry_between(of: Garden) -> Advice:
    """Let zone 2 stand on sand, watered twice a week."""
    change_zone(of.zones[1], soil="sand")
    of.program.days = "mon thu"
    of.program.save()
    return line("too few days")


def among_lawns(of: Garden) -> Advice:
    """Let zone 1 be deep-rooted natives."""
    change_zone(of.zones[0], root_depth_mm=1200, name="Oaks", plant="native")
    return line("unlike zones")


def on_clay(of: Garden) -> Advice:
    """Let zone 1 put 40 mm/h on clay for half an hour in one go."""
    change_zone(of.zones[0], soil="clay", precipitation_rate_mm_h=40.0)
    ZoneRun.objects.filter(zone=of.zones[0]).update(minutes=30, cycle=None, soak=None)
    return line("runoff")


def line(kind: str) -> Advice:
    advise(open_sites(), on=ON)
    return Advice.objects.select_related("controller__site__client").get(kind=kind)


def proposed(advice: Advice, of: Garden) -> Proposed:
    return propose(advice=advice, by=of.owner)


def held_at_100(of: Garden) -> None:
    """Let no percent but 100 be proposed, so that sums are short."""
    policy(of, percent_min=100, percent_max=100)


def newest(of: Garden, letter: str = "A") -> Program:
    found = Program.objects.filter(controller=of.controller, letter=letter).order_by("effective").last()
    assert found is not None
    return found
