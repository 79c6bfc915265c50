"""Pages under /catalogue/."""

from django.urls import path

from tiles.catalogue import views

app_name = "catalogue"

urlpatterns = [
    path("", views.index, name="index"),
    path("glazes/new/", views.new_glaze, name="new_glaze"),
    path("glazes/add/", views.glaze_add, name="glaze_add"),
    path("glazes/<int:pk>/", views.glaze, name="glaze"),
    path("glazes/<int:pk>/edit/", views.edit_glaze, name="edit_glaze"),
    path("glazes/<int:pk>/lots/new/", views.new_batch, name="new_batch"),
    path("lots/add/", views.batch_add, name="batch_add"),
    path("lots/<int:pk>/edit/", views.edit_batch, name="edit_batch"),
    path("bodies/new/", views.new_body, name="new_body"),
    path("bodies/add/", views.body_add, name="body_add"),
    path("bodies/<int:pk>/", views.body, name="body"),
    path("bodies/<int:pk>/edit/", views.edit_body, name="edit_body"),
    path("forms/new/", views.new_form, name="new_form"),
    path("forms/add/", views.form_add, name="form_add"),
    path("forms/<int:pk>/", views.form, name="form"),
    path("forms/<int:pk>/edit/", views.edit_form, name="edit_form"),
]
