from django.urls import path

from . import secretary_views, views, you_views

app_name = "members"
urlpatterns = [
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("link/<str:token>/", views.use_link, name="use_link"),
    path("new-password/", views.forgotten, name="forgotten"),
    path("language/", views.language, name="language"),
    path("you/", you_views.you, name="you"),
    path("you/details/", you_views.details, name="details"),
    path("you/preferences/", you_views.preferences, name="preferences"),
    path("you/password/", you_views.password, name="password"),
    path("you/visits/end-others/", you_views.end_others, name="end_others"),
    path("you/visits/<int:pk>/end/", you_views.end_visit, name="end_visit"),
    path("you/leave/", you_views.leave, name="leave"),
    path("members/", secretary_views.members, name="list"),
    path("members/invite/", secretary_views.invite, name="invite"),
    path("members/invitations/", secretary_views.invitations, name="invitations"),
    path("members/invitations/<int:pk>/withdraw/", secretary_views.withdraw, name="withdraw"),
    path("members/<int:pk>/", secretary_views.member, name="member"),
    path("members/<int:pk>/details/", secretary_views.edit_member, name="edit_member"),
    path("members/<int:pk>/role/", secretary_views.change_role, name="change_role"),
    path("members/<int:pk>/new-password/", secretary_views.offer_new_password, name="offer_new_password"),
    path("members/<int:pk>/let-go/", secretary_views.let_go, name="let_go"),
    path("members/<int:pk>/let-back-in/", secretary_views.let_back_in, name="let_back_in"),
    path("members/<int:pk>/erase/", secretary_views.erase, name="erase"),
]
