"""A garden with a meter, three years of weather and of bills that follow it, a fifth saved in the last."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from fleet.models import Meter, MeterBill
from reports.selectors.metered.need import needs_of
from tests.night.garden import ON, Garden, garden
from weather.models import ObservedDay

YEARS = 3
SINCE = date(2023, 7, 1)
BASELINE = SINCE, date(2025, 6, 30)
SAVED = 0.2
INDOORS_L_DAY = 900.0


@dataclass
class Metered:
    garden: Garden
    meter: Meter


def weather_of_years(place: Garden) -> None:
    rng = np.random.default_rng(11)
    rows = []
    for n in range((ON - SINCE).days):
        day = SINCE + timedelta(days=n)
        turn = 2 * np.pi * (day.timetuple().tm_yday - 15) / 365
        wet = rng.random() < 0.25 + 0.15 * np.cos(turn)
        rows.append(
            ObservedDay(
                cell=place.cell, date=day, t_min_c=10, t_max_c=25, source="station",
                et_method="penman-monteith",
                reference_et_mm=max(3.5 - 2.8 * np.cos(turn), 0.3) * (1 + rng.normal(0, 0.15)),
                rain_mm=float(rng.gamma(1.2, 5)) if wet else 0.0,
            )
        )  # fmt: skip
    ObservedDay.objects.bulk_create(rows)


def metered(name: str = "Heron", *, mixed: bool = False, saved: float = SAVED) -> Metered:
    """Return a garden whose bills are 1.3 times what it needs, a little off, less since July 2025."""
    place = garden(name, days="daily")
    weather_of_years(place)
    meter = Meter.objects.create(site=place.site, name="Street", unit="m3", mixed=mixed)
    need = needs_of([meter], first=SINCE, last=ON - timedelta(days=1))[meter.pk]
    rng = np.random.default_rng(5)
    first = SINCE
    while (last := (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)) < ON:
        litres = 1.3 * need.over(first, last) + rng.normal(0, 2_500)
        litres *= 1 - saved if first > BASELINE[1] else 1
        litres += INDOORS_L_DAY * ((last - first).days + 1) if mixed else 0
        MeterBill.objects.create(meter=meter, first=first, last=last, used=max(litres, 0) / 1000)
        first = last + timedelta(days=1)
    return Metered(place, meter)
