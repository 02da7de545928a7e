"""How cold and windy the coming night is forecast to be at a company's open sites."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from fleet.models import Policy, Site, User
from fleet.selectors.policies import PolicyInForce
from weather.models import ForecastDay


@dataclass(frozen=True)
class Sky:
    """The coming night at one site: its low, and the mean wind of the two dates it lies between."""

    client_id: int
    low_c: float | None
    wind_m_s: float | None


def night_sky(user: User, company_id: int, *, on: date) -> list[Sky]:
    """Return the forecast of the coming night at every open site whose weather is known; two queries."""
    sites = Site.objects.visible_to(user).of_company(company_id).exclude(season=Site.Season.CLOSED)
    places = list(sites.filter(cell__isnull=False).values_list("client_id", "cell_id"))
    morning = on + timedelta(days=1)
    days: dict[tuple[int, date], tuple[float | None, float | None]] = {}
    told = ForecastDay.objects.filter(cell__in={cell for _, cell in places}, date__in=(on, morning))
    for cell, day, low, wind in told.order_by("issued_at", "pk").values_list(
        "cell_id", "date", "t_min_c", "wind_2m_m_s"
    ):
        days[cell, day] = (low, wind)
    found = []
    for client, cell in places:
        winds = [days[cell, day][1] for day in (on, morning) if (cell, day) in days]
        found.append(Sky(client, days.get((cell, morning), (None, None))[0], _mean(winds)))
    return found


def sites_past(skies: Sequence[Sky], policy: PolicyInForce, own: Mapping[int, Policy]) -> tuple[int, int]:
    """Return at how many sites the night is colder, and at how many windier, than the policy waters in."""
    held = [(sky, policy.overridden_by(own.get(sky.client_id))) for sky in skies]
    cold = sum(sky.low_c is not None and sky.low_c < p.freeze_skip_below_c for sky, p in held)
    windy = sum(sky.wind_m_s is not None and sky.wind_m_s > p.wind_skip_above_m_s for sky, p in held)
    return cold, windy


def _mean(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if known else None
