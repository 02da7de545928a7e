"""Links that let somebody in who has no account yet: to work for the company, or to read a client's sites."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from fleet.models.clients import Client
from fleet.models.companies import Company, Membership
from fleet.tenancy import TenantModel


class Invitation(TenantModel):
    """Somebody asked to join with a role, or to read a client; its link is good once, till ``expires_at``."""

    company_path = "company"

    company = models.ForeignKey(Company, models.CASCADE, related_name="invitations")
    email = models.EmailField(max_length=254)
    role = models.CharField(max_length=12, choices=Membership.Role, blank=True)
    client = models.ForeignKey(Client, models.CASCADE, null=True, blank=True, related_name="invitations")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-id",)
        constraints = (
            models.UniqueConstraint(
                fields=["company", "email"],
                condition=Q(used_at=None, withdrawn_at=None),
                name="invitation_one_open",
            ),
            models.CheckConstraint(
                condition=Q(role__in=["owner", "office", "technician"], client=None)
                | Q(role="", client__isnull=False),
                name="invitation_role",
            ),
        )

    def __str__(self) -> str:
        return f"{self.email} ({self.role or 'reader'})"
