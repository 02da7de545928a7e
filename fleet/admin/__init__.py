"""The back office for companies, people and what they look after. It alone steps over tenancy."""

from django.contrib import admin

from fleet.admin import (  # noqa: F401  each registers its pages
    client_notes,
    clients,
    companies,
    controllers,
    letters,
    log,
    meters,
    observations,
    people,
    presets,
    rules,
    sites,
    tokens,
    visits,
    zones,
)

admin.site.site_header = "Bluestem back office"
admin.site.site_title = "Bluestem back office"
admin.site.index_title = "Everything, of every company"
admin.site.enable_nav_sidebar = False  # lists need the width
