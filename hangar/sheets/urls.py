from django.urls import path

from . import views

app_name = "sheets"
urlpatterns = [
    path("airframes/<slug:slug>/revisions/<int:number>/sheet.pdf", views.setup_sheet, name="setup_sheet"),
    path("airframes/<slug:slug>/revisions/<int:number>/print/", views.print_sheet, name="print_sheet"),
]
