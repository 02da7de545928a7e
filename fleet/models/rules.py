"""Rules set from outside: watering days and hours, towns and their drought stages."""

from datetime import date, time

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q

from fleet.history import Kept
from fleet.models.companies import Company
from fleet.numerics.heads import HEADS
from fleet.tenancy import TenantModel

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
MOST_STAGE = 9
weekday_list = RegexValidator(
    r"^((mon|tue|wed|thu|fri|sat|sun)( (?!$)|$)){0,7}$", "Write weekdays as mon wed fri."
)


def day_of_year(text: str) -> None:
    """Refuse what isn't a month and a day such as 05-01; the 29th of February counts."""
    try:
        if len(text) != len("05-01"):
            raise ValueError
        date.fromisoformat(f"2000-{text}")
    except ValueError:
        raise ValidationError("Write month and day, such as 05-01.") from None


def between_days(first: str, last: str, day: date) -> bool:
    """Tell whether a day lies between two of the year such as 05-01, both counted; they may pass New Year."""
    now = f"{day:%m-%d}"
    return first <= now <= last if first <= last else now >= first or now <= last


def known_heads(text: str) -> None:
    """Refuse a list of heads with one nobody knows."""
    unknown = [word for word in text.split() if word not in HEADS]
    if unknown:
        raise ValidationError(f"{unknown[0]} is no head; there is {', '.join(HEADS)}.")


class Town(TenantModel):
    """A town, or whoever else sets stages, and the stage in force: ``stage`` from the night of ``stage_from``
    on, ``stage_before`` until then. Stage 0 is none."""

    company_path = "company"

    company = models.ForeignKey(Company, models.CASCADE, related_name="towns")
    name = models.CharField(max_length=120)
    stage = models.PositiveSmallIntegerField(default=0, validators=[MaxValueValidator(MOST_STAGE)])
    stage_from = models.DateField("from the night of", null=True, blank=True)
    stage_before = models.PositiveSmallIntegerField(default=0, validators=[MaxValueValidator(MOST_STAGE)])

    history = Kept()

    class Meta:
        ordering = ("name",)
        constraints = (
            models.UniqueConstraint(fields=["company", "name"], name="town_name_once"),
            models.CheckConstraint(
                condition=Q(stage__lte=MOST_STAGE, stage_before__lte=MOST_STAGE), name="town_stage"
            ),
        )

    def __str__(self) -> str:
        return self.name

    def stage_on(self, night: date) -> int:
        """Return the stage in force in a night."""
        return self.stage if self.stage_from is None or night >= self.stage_from else self.stage_before


class WateringRule(TenantModel):
    """When a town, a source or an association lets a site be watered.

    A rule of a town's stage says for which addresses and which kind of sites it holds. What a rule means at a
    site in a night stands in ``fleet/selectors/site_rule.py``, and nowhere else.
    """

    company_path = "company"

    class Parity(models.TextChoices):
        ANY = "any", "any date"
        ODD = "odd", "odd dates"
        EVEN = "even", "even dates"
        ADDRESS = "address", "odd dates at odd addresses, even dates at even ones"

    class Addresses(models.TextChoices):
        ANY = "any", "all addresses"
        ODD = "odd", "odd addresses"
        EVEN = "even", "even addresses"

    company = models.ForeignKey(Company, models.CASCADE, related_name="watering_rules")
    name = models.CharField(max_length=120)
    town = models.ForeignKey(Town, models.PROTECT, null=True, blank=True, related_name="rules")
    stage = models.PositiveSmallIntegerField(
        "stage of the town", null=True, blank=True, validators=[MaxValueValidator(MOST_STAGE)]
    )
    addresses = models.CharField("holds for", max_length=4, choices=Addresses, default=Addresses.ANY)
    kind = models.CharField(
        "kind of sites", max_length=40, blank=True, help_text="As the site says it. Empty: every kind."
    )
    weekdays = models.CharField(
        max_length=27, blank=True, validators=[weekday_list], help_text="Empty: any weekday."
    )
    odd_weekdays = models.CharField(
        "weekdays of odd addresses", max_length=27, blank=True, validators=[weekday_list]
    )
    even_weekdays = models.CharField(
        "weekdays of even addresses", max_length=27, blank=True, validators=[weekday_list]
    )
    parity = models.CharField(max_length=7, choices=Parity, default=Parity.ANY)
    days_per_week = models.PositiveSmallIntegerField(null=True, blank=True)
    hours_from = models.TimeField("watering allowed from", null=True, blank=True)
    hours_to = models.TimeField("watering allowed until", null=True, blank=True)
    again_from = models.TimeField("and again from", null=True, blank=True)
    again_to = models.TimeField("and again until", null=True, blank=True)
    season_from = models.CharField("holds from", max_length=5, blank=True, validators=[day_of_year])
    season_to = models.CharField("holds to", max_length=5, blank=True, validators=[day_of_year])
    exempt_heads = models.CharField(
        "heads it leaves alone", max_length=120, blank=True, validators=[known_heads]
    )
    zone_minutes = models.PositiveSmallIntegerField(
        "minutes of a zone and watering day at the most",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(1440)],
    )
    less_percent = models.PositiveSmallIntegerField(
        "less water than before", null=True, blank=True, validators=[MaxValueValidator(100)]
    )
    source = models.CharField("where this rule is written", max_length=200, blank=True)

    history = Kept()
    for_side: str | None = None  # odd, even or unknown, where it was told for an address

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=["company", "name"], name="watering_rule_name_once"),
            models.CheckConstraint(
                condition=Q(days_per_week=None) | Q(days_per_week__gte=0, days_per_week__lte=7),
                name="watering_rule_days",
            ),
            models.CheckConstraint(
                condition=Q(less_percent=None) | Q(less_percent__lte=100), name="watering_rule_less"
            ),
        )

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        if self.town_id is not None and self.town is not None and self.town.company_id != self.company_id:
            raise ValidationError({"town": "This belongs to another company."})
        if (self.town_id is None) != (self.stage is None):
            raise ValidationError({"stage": "A rule of a town has a stage, any other has none."})
        if bool(self.season_from) != bool(self.season_to):
            raise ValidationError({"season_to": "Say both ends of the season, or neither."})
        if (self.again_from or self.again_to) and not (self.hours_from or self.hours_to):
            raise ValidationError({"again_from": "Fill the first hours before a second span."})

    def hours(self) -> tuple[tuple[time | None, time | None], ...]:
        """Return the spans of hours it allows, none where it limits none.

        An end left open reaches to noon where there is one span, to midnight where there are two.
        """
        first, again = (self.hours_from, self.hours_to), (self.again_from, self.again_to)
        if any(again):
            return tuple((begin or time(0), end or time(0)) for begin, end in (first, again))
        return (first,) if any(first) else ()

    def in_season(self, night: date) -> bool:
        """Tell whether it holds in a night; a season may pass New Year."""
        if not self.season_from or not self.season_to:
            return True
        return between_days(self.season_from, self.season_to, night)

    def leaves_alone(self, head: str) -> bool:
        """Tell whether zones under such heads may be watered whenever one likes."""
        return head in self.exempt_heads.split()
