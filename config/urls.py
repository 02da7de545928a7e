"""Every address of the service."""

from django.contrib import admin
from django.urls import URLPattern, URLResolver, include, path, re_path

from config.problems import unknown_address

urlpatterns: list[URLPattern | URLResolver] = [
    path("api/v1/", include("config.api")),
    re_path(r"^api/", unknown_address),
    path("back-office/", admin.site.urls),
    path("", include("desk.urls")),
]

handler400 = "config.problems.bad_request"
handler403 = "config.problems.not_allowed"
handler404 = "config.problems.not_found"
handler500 = "config.problems.fault"
