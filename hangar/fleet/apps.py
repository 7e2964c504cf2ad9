from django.apps import AppConfig


class FleetConfig(AppConfig):
    name = "hangar.fleet"
