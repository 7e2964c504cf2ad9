from django.urls import path

from . import batch_views, handover_views, paper_views, public_views, views

app_name = "sheets"
urlpatterns = [
    path("sheets/", batch_views.many, name="many"),
    path("sheets/<int:pk>/", batch_views.batch, name="batch"),
    path("sheets/<int:pk>/on/", batch_views.batch_on, name="batch_on"),
    path("sheets/<int:pk>/sheets.pdf", batch_views.batch_file, {"kind": "pdf"}, name="batch_pdf"),
    path("sheets/<int:pk>/sheets.zip", batch_views.batch_file, {"kind": "zip"}, name="batch_zip"),
    path("airframes/<slug:slug>/paper/", paper_views.paper, name="paper"),
    path("airframes/<slug:slug>/paper/<int:pk>/lost/", paper_views.lost, name="lost"),
    path("airframes/<slug:slug>/handover.pdf", handover_views.as_pdf, name="handover_pdf"),
    path("airframes/<slug:slug>/handover.json", handover_views.as_json, name="handover_json"),
    path("s/<token>", public_views.still_good, name="still_good"),
    path("airframes/<slug:slug>/revisions/<int:number>/sheet.pdf", views.setup_sheet, name="setup_sheet"),
    path("airframes/<slug:slug>/revisions/<int:number>/sheet/print/", views.print_sheet, name="print_sheet"),
    path("airframes/<slug:slug>/revisions/<int:number>/pocket-card.pdf", views.pocket_card, name="pocket_card"),
    path("airframes/<slug:slug>/revisions/<int:number>/phone.html", views.phone, name="phone"),
    path(
        "airframes/<slug:slug>/revisions/<int:number>/pocket-card/print/",
        views.print_kind,
        {"kind": "pocket_card"},
        name="print_pocket_card",
    ),
    path(
        "airframes/<slug:slug>/revisions/<int:number>/phone/print/",
        views.print_kind,
        {"kind": "phone"},
        name="print_phone",
    ),
    path("airframes/<slug:slug>/revisions/<int:number>/change-card.pdf", views.change_card, name="change_card"),
    path("airframes/<slug:slug>/revisions/<int:number>/change-card/print/", views.print_card, name="print_card"),
]
