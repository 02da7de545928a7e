"""The Celery application: thin tasks over the services; without a broker they run at once, in process."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
app = Celery("bluestem")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
