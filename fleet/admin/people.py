"""People, who sign in by e-mail address."""

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.forms import AdminUserCreationForm, UserChangeForm

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


class MembershipRows(admin.TabularInline):
    model = Membership
    extra = 0
    autocomplete_fields = ("company",)


class ClientAccessRows(admin.TabularInline):
    model = ClientAccess
    extra = 0
    autocomplete_fields = ("client",)


@admin.register(User)
class PersonAdmin(UserAdmin):
    form = KnownPerson
    add_form = NewPerson
    list_display = ("email", "name", "is_active", "is_staff", "last_login")
    list_filter = ("is_active", "is_staff")
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
