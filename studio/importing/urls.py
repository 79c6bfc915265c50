"""Spreadsheets in: chosen, looked at, mended, kept as a whole, undone as a whole."""

from django.urls import path

from studio.importing import views

app_name = "importing"
urlpatterns = [
    path("", views.imports, name="list"),
    path("example/<str:name>", views.example, name="example"),
    path("<int:pk>/", views.sheet, name="sheet"),
    path("<int:pk>/columns/", views.columns, name="columns"),
    path("<int:pk>/headings/", views.headings, name="headings"),
    path("<int:pk>/names/", views.names, name="names"),
    path("<int:pk>/cells/", views.mend, name="cells"),
    path("<int:pk>/leave/", views.leave, name="leave"),
    path("<int:pk>/messages.csv", views.messages_table, name="messages"),
    path("<int:pk>/keep/", views.keep, name="keep"),
    path("<int:pk>/undo/", views.undo, name="undo"),
    path("<int:pk>/back/", views.put_back, name="back"),
    path("<int:pk>/drop/", views.drop, name="drop"),
]
