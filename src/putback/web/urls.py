"""Every address of the site. Who may ask for what stands beside each view: `for_role`."""

from django.urls import URLPattern, URLResolver, path

from putback.web.api import api
from putback.web.pages.views import garage, log, now, sign_in

urlpatterns: list[URLPattern | URLResolver] = [
    path("", garage.garage, name="garage"),
    path("new", garage.new_vehicle, name="new_vehicle"),
    path("in", sign_in.sign_in, name="sign_in"),
    path("out", sign_in.sign_out, name="sign_out"),
    path("v/<str:logbook>/", now.now, name="now"),
    path("v/<str:logbook>/log", log.log, name="log"),
    path("api/", api.urls),
]

handler400 = "putback.web.pages.trouble.not_understood"
handler403 = "putback.web.pages.trouble.not_allowed"
handler404 = "putback.web.pages.trouble.not_here"
handler500 = "putback.web.pages.trouble.broken"
