"""Every address of the site. Who may ask for what stands beside each view: `for_role`."""

from django.urls import URLPattern, URLResolver, include, path

from putback.web.api import api
from putback.web.pages.views import (
    garage,
    log,
    now,
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("", garage.garage, name="garage"),
    path("v/<str:logbook>/", now.now, name="now"),
    path("v/<str:logbook>/log", log.log, name="log"),
    path("", include("putback.web.work_urls")),
    path("", include("putback.web.bench_urls")),
    path("", include("putback.web.offline_urls")),
    path("", include("putback.web.paper_urls")),
    path("", include("putback.web.people_urls")),
    path("", include("putback.web.plan_urls")),
    path("", include("putback.web.picture_urls")),
    path("", include("putback.web.things_urls")),
    path("api/", api.urls),
]

handler400 = "putback.web.pages.trouble.not_understood"
handler403 = "putback.web.pages.trouble.not_allowed"
handler404 = "putback.web.pages.trouble.not_here"
handler500 = "putback.web.pages.trouble.broken"
