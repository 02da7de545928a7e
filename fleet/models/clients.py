"""The contractor's clients and the people who may read their sites."""

from django.conf import settings
from django.db import models

from fleet.history import Kept
from fleet.models.companies import Company
from fleet.tenancy import TenantModel


class Client(TenantModel):
    """A household, shop, school or association whose sites the company looks after."""

    company_path = "company"
    client_path = ""

    company = models.ForeignKey(Company, models.CASCADE, related_name="clients")
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    access_from = models.DateField(
        "access open from", null=True, blank=True, help_text="Until this day the client sees nothing."
    )
    note = models.TextField(blank=True)

    history = Kept()

    class Meta:
        ordering = ("name",)
        constraints = (models.UniqueConstraint(fields=["company", "name"], name="client_name_once"),)

    def __str__(self) -> str:
        return self.name


class ClientAccess(TenantModel):
    """A person who may read one client's sites once access is open."""

    company_path = "client__company"

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="client_accesses")
    client = models.ForeignKey(Client, models.CASCADE, related_name="accesses")

    history = Kept()

    class Meta:
        verbose_name_plural = "client accesses"
        constraints = (models.UniqueConstraint(fields=["user", "client"], name="client_access_once"),)

    def __str__(self) -> str:
        return f"{self.user} reads {self.client}"
