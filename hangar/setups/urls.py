from django.urls import path

from . import (
    bench_views,
    coupling_views,
    dial_in_views,
    draft_views,
    linkage_views,
    matrix_views,
    part_views,
    phase_views,
    start_views,
    views,
    wiring_views,
)

app_name = "setups"
urlpatterns = [
    path("airframes/new/", start_views.new_airframe, name="new_airframe"),
    path("airframes/<slug:slug>/bench/", bench_views.bench, name="bench"),
    path("airframes/<slug:slug>/linkages/", linkage_views.linkages, name="linkages"),
    path("airframes/<slug:slug>/start/", start_views.start, name="start"),
    path("airframes/<slug:slug>/import/", views.import_setup, name="import"),
    path("airframes/<slug:slug>/entered/", views.enter, name="enter"),
    path("airframes/<slug:slug>/check/", views.check, name="check"),
    path("airframes/<slug:slug>/revisions/<int:number>/setup.json", views.revision_json, name="revision_json"),
    path("airframes/<slug:slug>/revisions/<int:number>/dial-in/", dial_in_views.dial_in, name="dial_in"),
    path("airframes/<slug:slug>/draft/", views.draft, name="draft"),
    path("airframes/<slug:slug>/draft/discard/", draft_views.discard, name="discard"),
    path("airframes/<slug:slug>/draft/have-back/<int:pk>/", draft_views.have_back, name="have_back"),
    path("airframes/<slug:slug>/draft/take-back/", draft_views.take_back, name="take_back"),
    path("airframes/<slug:slug>/draft/do-again/", draft_views.do_again, name="do_again"),
    path("airframes/<slug:slug>/draft/settle/", views.settle, name="settle"),
    path("airframes/<slug:slug>/draft/throws/", matrix_views.throws, name="throws"),
    path("airframes/<slug:slug>/draft/throws/phases/", phase_views.changes, name="phase_changes"),
    path("airframes/<slug:slug>/draft/throws/coupling/", coupling_views.coupling, name="coupling"),
    path("airframes/<slug:slug>/draft/channels/rewire/", wiring_views.rewire, name="rewire"),
    path("airframes/<slug:slug>/draft/surfaces/<int:index>/linkage/", linkage_views.linkage, name="linkage"),
    path("airframes/<slug:slug>/draft/one/<slug:key>/", part_views.part, name="single"),
    path("airframes/<slug:slug>/draft/<slug:key>/", part_views.parts, name="parts"),
    path("airframes/<slug:slug>/draft/<slug:key>/new/", part_views.part, name="new_part"),
    path("airframes/<slug:slug>/draft/<slug:key>/<int:index>/", part_views.part, name="part"),
    path("airframes/<slug:slug>/draft/<slug:key>/<int:index>/remove/", part_views.remove_part, name="remove_part"),
]
