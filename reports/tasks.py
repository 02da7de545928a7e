"""Thin Celery tasks of the reports."""

from datetime import timedelta

from celery import shared_task

from common import clock
from reports.services.recompute import recompute


@shared_task(name="reports.keep_months")
def keep_months() -> int:
    """Bring the running month and the one before it up to date; once a day."""
    on = clock.today("UTC")
    return recompute(on=on, since=on.replace(day=1) - timedelta(days=1))
