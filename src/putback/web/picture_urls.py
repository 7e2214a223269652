"""Addresses of what is seen: photos, and the vehicle drawn."""

from django.urls import URLPattern, URLResolver, path

from putback.web.pages.views import photos, scan, slate, vehicle_view

urlpatterns: list[URLPattern | URLResolver] = [
    path("v/<str:logbook>/vehicle", vehicle_view.vehicle_view, name="vehicle_view"),
    path("v/<str:logbook>/photos", photos.photos, name="photos"),
    path("scan", scan.scan_held, name="scan_held"),
    path("slate", slate.slate_held, name="slate_held"),
    path("v/<str:logbook>/scan", scan.scan, name="scan"),
    path("v/<str:logbook>/slate", slate.slate, name="slate"),
    path("v/<str:logbook>/photos/<str:photo>", photos.photo, name="photo"),
]
