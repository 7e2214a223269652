"""Every address of the page of trust, which is served by plain http beside the site."""

from django.urls import path

from putback.web.pages.views import trust

urlpatterns = [
    path("trust", trust.trust, name="trust"),
    path("trust/authority", trust.authority, name="authority"),
    path("trust/yes", trust.yes, name="trusted"),
    path("", trust.to_trust, name="garage"),
    path("<path:elsewhere>", trust.to_trust),
]

handler400 = "putback.web.pages.trouble.not_understood"
handler500 = "putback.web.pages.trouble.broken"
