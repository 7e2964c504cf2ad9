from django.urls import path

from . import health, views

app_name = "keeping"
urlpatterns = [
    path("health", health.alive, name="alive"),
    path("ready", health.ready, name="ready"),
    path("members/backups/", views.backups, name="backups"),
]
