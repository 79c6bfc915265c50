"""Addresses under /boards/."""

from django.urls import path

from tiles.boards import views

app_name = "boards"

urlpatterns = [
    path("", views.boards, name="list"),
    path("new/", views.new, name="new"),
    path("undo/<int:mark>/", views.undo, name="undo"),
    path("<int:pk>/", views.board, name="board"),
    path("<int:pk>/edit/", views.edit, name="edit"),
    path("<int:pk>/lay-out/", views.lay_out, name="lay_out"),
    path("<int:pk>/<int:row>/<int:column>/", views.slot, name="slot"),
    path("<int:pk>/<int:row>/<int:column>/hang/", views.hang, name="hang"),
    path("<int:pk>/<int:row>/<int:column>/want/", views.want, name="want"),
    path("<int:pk>/<int:row>/<int:column>/move/", views.move, name="move"),
]
