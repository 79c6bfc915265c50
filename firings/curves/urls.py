"""Addresses of a firing's curves, under /firings/."""

from django.urls import path

from firings.curves import views

app_name = "curves"

urlpatterns = [
    path("<int:number>/curves/new/", views.new, name="new"),
    path("<int:number>/curves/look/<str:sha256>/", views.preview, name="look"),
    path("<int:number>/curves/<int:pk>/", views.curve_page, name="curve"),
    path("<int:number>/curves/<int:pk>/plot.json", views.plot, name="plot"),
    path("<int:number>/curves/<int:pk>/rows.csv", views.rows_csv, name="rows"),
    path("<int:number>/curves/<int:pk>/original", views.original, name="original"),
    path("<int:number>/curves/<int:pk>/count/", views.let_count, name="let_count"),
    path("<int:number>/curves/<int:pk>/take-off/", views.take_off, name="take_off"),
    path("<int:number>/curves/put-back/<int:history_id>/", views.put_back, name="put_back"),
]
