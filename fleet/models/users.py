"""People who sign in, by e-mail address."""

from __future__ import annotations

from typing import Any, ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.db import models
from django.db.models.functions import Lower

from common import clock
from fleet.history import Kept


class UserManager(BaseUserManager["User"]):
    """Creates users whose e-mail addresses are kept in lower case."""

    def get_by_natural_key(self, username: str | None) -> User:
        return self.get(email=(username or "").strip().lower())

    def create_user(self, email: str, password: str | None = None, **fields: Any) -> User:
        user = self.model(email=email.strip().lower(), **fields)
        user.set_password(password)
        user.full_clean()
        user.save(using=self._db)
        return user

    def create_superuser(self, email: str, password: str | None = None, **fields: Any) -> User:
        return self.create_user(email, password, is_staff=True, is_superuser=True, **fields)


class User(AbstractBaseUser, PermissionsMixin):
    """One person. What they may see follows from memberships and client access."""

    company_path = (
        None  # a person may work for one company and be a client of another; only the admin lists people
    )

    email = models.EmailField(unique=True, max_length=254)
    name = models.CharField(max_length=120, blank=True)
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField("may open the back office", default=False)
    created_at = models.DateTimeField(auto_now_add=True)

    objects: ClassVar[UserManager] = UserManager()

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    history = Kept(leave_out=("password", "last_login"))

    class Meta:
        constraints = (models.UniqueConstraint(Lower("email"), name="user_email_once"),)

    def __str__(self) -> str:
        return self.name or self.email

    def clean(self) -> None:
        super().clean()
        self.email = self.email.strip().lower()

    def save(self, *args: Any, **kwargs: Any) -> None:
        # Signing in looks the address up in lower case, so no other spelling may ever be stored.
        self.email = self.email.strip().lower()
        super().save(*args, **kwargs)

    def company_ids(self) -> list[int]:
        """Return the companies this person works for; read once per instance."""
        cached: list[int] | None = getattr(self, "_company_ids", None)
        if cached is None:
            cached = list(self.memberships.values_list("company_id", flat=True))
            self._company_ids = cached
        return cached

    def open_client_ids(self) -> list[int]:
        """Return the clients whose sites this person may read today; read once per instance."""
        cached: list[int] | None = getattr(self, "_open_client_ids", None)
        if cached is None:
            cached = list(
                self.client_accesses.filter(client__access_from__lte=clock.today("UTC")).values_list(
                    "client_id", flat=True
                )
            )
            self._open_client_ids = cached
        return cached

    def read_company_ids(self) -> list[int]:
        """Return the companies whose client this person is today."""
        clients = self.client_accesses.filter(client__in=self.open_client_ids())
        return list(clients.values_list("client__company_id", flat=True))

    def role_in(self, company_id: int) -> str:
        """Return the role this person has in a company, or an empty string."""
        roles: dict[int, str] | None = getattr(self, "_roles", None)
        if roles is None:
            roles = dict(self.memberships.values_list("company_id", "role"))
            self._roles = roles
        return roles.get(company_id, "")
