from django.urls import path

from . import (
    bought_views,
    flight_views,
    history_views,
    log_views,
    measure_views,
    observation_views,
    rollback_views,
    throw_check_views,
    views,
)

app_name = "flights"
urlpatterns = [
    path("", views.line_up, name="line_up"),
    path("airframes/<slug:slug>/", views.airframe, name="airframe"),
    path("airframes/<slug:slug>/history/", history_views.history, name="history"),
    path("airframes/<slug:slug>/compare/", history_views.compare, name="compare"),
    path("airframes/<slug:slug>/revisions/<int:number>/", history_views.revision, name="revision"),
    path("airframes/<slug:slug>/revisions/<int:number>/change-card/", history_views.change_card, name="change_card"),
    path("airframes/<slug:slug>/roll-back/", rollback_views.roll_back, name="roll_back"),
    path("airframes/<slug:slug>/flights/new/", flight_views.log_flight, name="log_flight"),
    path("airframes/<slug:slug>/flights/<int:pk>/", flight_views.flight, name="flight"),
    path("airframes/<slug:slug>/flights/<int:pk>/brake/", observation_views.compensate, name="compensate"),
    path("airframes/<slug:slug>/flights/<int:pk>/trim/", observation_views.trim_home, name="trim_home"),
    path("airframes/<slug:slug>/work/new/", measure_views.log_work, name="log_work"),
    path("airframes/<slug:slug>/measured/", throw_check_views.measured, name="measured"),
    path("airframes/<slug:slug>/measured/<int:pk>/", throw_check_views.throw_check, name="throw_check"),
    path(
        "airframes/<slug:slug>/measured/<int:pk>/linkage/<slug:key>/", throw_check_views.as_linkage, name="as_linkage"
    ),
    path("airframes/<slug:slug>/balanced/", measure_views.balanced, name="balanced"),
    path("airframes/<slug:slug>/as-bought/", bought_views.take_over, name="take_over"),
    path("airframes/<slug:slug>/log/", log_views.log, name="log"),
    path("airframes/<slug:slug>/withdraw/<slug:kind>/<int:pk>/", log_views.withdraw, name="withdraw"),
    path("airframes/<slug:slug>/ground/", flight_views.ground, name="ground"),
    path("airframes/<slug:slug>/release/", flight_views.release, name="release"),
]
