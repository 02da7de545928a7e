"""People, who sign in by e-mail address."""

from typing import Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.forms import AdminUserCreationForm, UserChangeForm
from django.db.models import Q, QuerySet
from django.http import HttpRequest

from fleet.admin.by_company import ByCompany
from fleet.admin.kept import KeptAdmin
from fleet.admin.rows import Rows
from fleet.models import ClientAccess, Membership, User


class NewPerson(AdminUserCreationForm):
    class Meta:
        model = User
        fields = ("email", "name")


class KnownPerson(UserChangeForm):
    class Meta:
        model = User
        fields = "__all__"
        field_classes = {}


class MembershipRows(Rows):
    model = Membership
    autocomplete_fields = ("company",)
    other_end = ("company",)


class ClientAccessRows(Rows):
    model = ClientAccess
    autocomplete_fields = ("client",)
    other_end = ("client",)


class PeopleOfCompany(ByCompany):
    """Who works for a company or reads a client of it."""

    def of_company(self, rows: Any, company_id: int) -> QuerySet[Any]:
        works = Membership.objects.of_company(company_id).values("user")
        reads = ClientAccess.objects.of_company(company_id).values("user")
        kept: QuerySet[Any] = rows.filter(Q(pk__in=works) | Q(pk__in=reads))
        return kept


@admin.register(User)
class PersonAdmin(KeptAdmin, UserAdmin):
    """People stay: decisions and history name them. Whoever leaves is made inactive."""

    form = KnownPerson
    add_form = NewPerson
    list_display = ("email", "name", "is_active", "is_staff", "last_login")
    list_filter = (PeopleOfCompany, "is_active", "is_staff")
    search_fields = ("email", "name")
    ordering = ("email",)
    readonly_fields = ("last_login", "created_at")
    fieldsets = (
        (None, {"fields": ("email", "name", "password")}),
        ("May", {"fields": ("is_active", "is_staff", "is_superuser", "groups", "user_permissions")}),
        ("Dates", {"fields": ("last_login", "created_at")}),
    )
    add_fieldsets = ((None, {"fields": ("email", "name", "usable_password", "password1", "password2")}),)
    inlines = (MembershipRows, ClientAccessRows)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
