"""Every package brings its own addresses; their names carry the package, as in `fleet:list`."""

from django.urls import include, path

urlpatterns = [
    path("", include("hangar.keeping.urls")),
    path("", include("hangar.members.urls")),
    path("", include("hangar.fleet.urls")),
    path("", include("hangar.setups.urls")),
    path("", include("hangar.flights.urls")),
    path("", include("hangar.sheets.urls")),
    path("", include("hangar.help.urls")),
]

handler500 = "hangar.keeping.trouble.server_error"
