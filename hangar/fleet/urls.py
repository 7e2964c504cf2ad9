from django.urls import path

from . import photo_views, receiver_views, rule_views, transmitter_views, views

app_name = "fleet"
urlpatterns = [
    path("airframes/<slug:slug>/details/", views.edit_airframe, name="edit_airframe"),
    path("airframes/<slug:slug>/photo/", photo_views.edit_photo, name="edit_photo"),
    path("airframes/<slug:slug>/photo/remove/", photo_views.remove_photo, name="remove_photo"),
    path("airframes/<slug:slug>/photo/<slug:version>.jpg", photo_views.photo, name="photo"),
    path("airframes/<slug:slug>/people/", views.people, name="people"),
    path("airframes/<slug:slug>/receiver/", receiver_views.fit_receiver, name="fit_receiver"),
    path("airframes/<slug:slug>/receiver/out/", receiver_views.take_receiver_out, name="take_receiver_out"),
    path("airframes/<slug:slug>/receiver/bound/", receiver_views.bind_receiver, name="bind_receiver"),
    path("airframes/<slug:slug>/mark-seen/", views.see_mark, name="see_mark"),
    path("airframes/<slug:slug>/leave/", views.leave, name="leave"),
    path("club-rules/", rule_views.rules, name="club_rules"),
    path("club-rules/set/", rule_views.set_rules, name="set_club_rules"),
    path("club-rules/bands/new/", rule_views.band, name="new_mass_band"),
    path("club-rules/bands/<int:pk>/", rule_views.band, name="mass_band"),
    path("club-rules/bands/<int:pk>/remove/", rule_views.remove_band, name="remove_mass_band"),
    path("receivers/", receiver_views.receivers, name="receivers"),
    path("receivers/new/", receiver_views.new_receiver, name="new_receiver"),
    path("receivers/<int:pk>/", receiver_views.receiver, name="receiver"),
    path("receivers/<int:pk>/edit/", receiver_views.edit_receiver, name="edit_receiver"),
    path("transmitters/", transmitter_views.transmitters, name="transmitters"),
    path("transmitters/new/", transmitter_views.new_transmitter, name="new_transmitter"),
    path("transmitters/<int:pk>/", transmitter_views.transmitter, name="transmitter"),
    path("transmitters/<int:pk>/edit/", transmitter_views.edit_transmitter, name="edit_transmitter"),
    path("transmitters/<int:pk>/signs/", transmitter_views.prove_signs, name="prove_signs"),
]
