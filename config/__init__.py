"""Wires the service together; imported by nobody."""

from config import checks
from config.celery import app as celery_app

__all__ = ["celery_app", "checks"]
