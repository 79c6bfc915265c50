"""Addresses under /print/."""

from django.urls import path

from tiles.prints import views

app_name = "prints"

urlpatterns = [
    path("", views.choose, name="choose"),
    path("cards.pdf", views.cards_pdf, name="cards_pdf"),
    path("labels.pdf", views.labels_pdf, name="labels_pdf"),
    path("mat", views.mat, name="mat"),
    path("mat.pdf", views.mat_pdf, name="mat_pdf"),
    path("stock/new", views.new_stock, name="new_stock"),
    path("stock/<int:pk>", views.edit_stock, name="edit_stock"),
]
