"""Thin Celery tasks; without a broker they run at once. Running one twice is harmless."""

from zoneinfo import ZoneInfo

from celery import shared_task
from django.conf import settings
from django.utils import timezone as real_time

from common import clock
from fleet.models import Site
from scheduling.models import NightlyRun
from scheduling.services.advising import advise, advise_timezone, open_sites
from scheduling.services.nightly import NightAlreadyRunning, run_night
from scheduling.services.skip_check import check_skips


@shared_task(name="scheduling.night")
def night(timezone: str) -> str:
    """Run the night of one timezone."""
    try:
        run, _ = run_night(on=clock.today(timezone), timezone=timezone)
    except NightAlreadyRunning as busy:
        return str(busy)
    advice.delay(timezone)
    return f"run {run.pk}"


@shared_task(name="scheduling.afternoon")
def afternoon(timezone: str) -> int:
    """Check tonight's skips in one timezone."""
    return check_skips(on=clock.today(timezone), timezone=timezone).proposed


@shared_task(name="scheduling.what_is_due")
def what_is_due() -> list[str]:
    """Start what is due in each timezone by its own clock; called every quarter of an hour."""
    started = []
    for timezone in Site.objects.order_by("timezone").values_list("timezone", flat=True).distinct():
        hour = real_time.now().astimezone(ZoneInfo(timezone)).hour
        run = NightlyRun.objects.filter(date=clock.today(timezone), timezone=timezone).first()
        if hour >= settings.NIGHTLY_HOUR and (run is None or run.state == NightlyRun.State.ABORTED):
            night.delay(timezone)
            started.append(f"night {timezone}")
        elif hour >= settings.SKIP_CHECK_HOUR and run is not None and run.skip_check_at is None:
            afternoon.delay(timezone)
            started.append(f"afternoon {timezone}")
        if run is not None and run.state == NightlyRun.State.DONE and run.advised_at is None:
            advice.delay(timezone)
            started.append(f"advice {timezone}")
    return started


@shared_task(name="scheduling.advice")
def advice(timezone: str | None = None, after: int = 0) -> int:
    """Compute the advice on open sites anew, those of a timezone once its night is over, a batch a job."""
    if timezone is None:
        return advise(open_sites())
    lines, last = advise_timezone(timezone, after=after)
    if last is not None:
        advice.delay(timezone, last)
    return lines
