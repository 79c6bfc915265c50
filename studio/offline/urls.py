"""Where the script lies that keeps pages; at the root, since a browser lets it serve only what lies below it."""

from django.urls import path

from studio.offline import views

app_name = "offline"

urlpatterns = [path("keeper.js", views.keeper, name="keeper")]
