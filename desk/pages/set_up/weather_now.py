"""A draft's place gets its usual year while somebody plans for it."""

from celery.result import EagerResult

from desk import notices
from desk.access import StaffRequest
from desk.set_up.whole import Whole
from fleet.selectors.people import may_set_up
from scheduling.selectors.usual_year import months_of
from weather.services.cells import cell_for
from weather.tasks import usual_year

COMING = "Its weather is being fetched; open this step again in a minute."
NOTHING_CAME = (
    "No weather came: the source can't be reached, or has none for this place. Type the reference ET of the "
    "hottest month instead, or try again later; the first night tries again by itself."
)


def fetch_weather(request: StaffRequest, whole: Whole) -> None:
    """Fetch the last year of the place; where workers do it, it is said to be on its way."""
    spot = whole.found_place
    if not may_set_up(request.user, whole.draft.company_id):
        return
    if spot.latitude is None or spot.longitude is None or spot.elevation_m is None:
        notices.warn(request, "Say first where the site is and how high it lies.")
        return
    cell = cell_for(
        latitude=spot.latitude,
        longitude=spot.longitude,
        elevation_m=spot.elevation_m,
        timezone=spot.timezone,
    )
    if not isinstance(usual_year.delay(cell.pk), EagerResult):
        notices.say(request, COMING)
    elif None in months_of(cell.pk):
        notices.warn(request, NOTHING_CAME)
    else:
        notices.say(request, "Its last year is there; the plan below rests on it.")
