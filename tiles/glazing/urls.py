"""Addresses under /glazing/."""

from django.urls import path

from tiles.glazing import views

app_name = "glazing"

urlpatterns = [
    path("", views.choose, name="choose"),
    path("now/", views.session, name="session"),
    path("sheet/", views.sheet, name="sheet"),
    path("coats/<int:layer>/<int:number>/", views.lay, name="lay"),
    path("coats/<int:layer>/leave/<int:coats>/", views.leave, name="leave"),
    path("coats/<int:layer>/more/<int:number>/", views.one_more, name="one_more"),
    path("coats/back/<int:coat>/", views.take_back, name="take_back"),
]
