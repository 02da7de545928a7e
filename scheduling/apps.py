from django.apps import AppConfig

from fleet import channels
from scheduling.delivery import CHANNELS


class SchedulingConfig(AppConfig):
    name = "scheduling"

    def ready(self) -> None:
        channels.bring(CHANNELS)
