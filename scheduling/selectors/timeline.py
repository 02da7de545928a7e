"""The night of a controller as its rows say it will be, with the controllers that share its water."""

from datetime import date

from django.db.models import Q

from fleet.models import Controller
from scheduling.selectors.held import held_by
from scheduling.selectors.night_clock import NightClock
from scheduling.selectors.simulate import Night, simulate


def timeline(controller: Controller, *, night: date) -> Night:
    """Return the night of a controller and of those on the same water source; a fixed number of queries.

    Programs, percents and skips are those in force in that night. A rain or freeze sensor may still hold a
    controller back: nobody knows that beforehand.
    """
    sharing = Q(pk=controller.pk)
    if controller.source_id is not None:
        sharing |= Q(source=controller.source_id)
    controllers = list(
        Controller.objects.filter(sharing)
        .exclude(site__season="closed")
        .select_related("site__watering_rule", "site__town", "source")
        .order_by("pk")
    )
    held = held_by(controllers, first=night, last=night)
    return simulate(
        [held.box(one, night) for one in controllers],
        clock=NightClock(night, controller.site.timezone),
        supply_l_min=controller.source.flow_l_min if controller.source is not None else None,
    )
