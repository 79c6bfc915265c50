"""Public pages under /p/, and the keeper's list of them under /public/."""

from django.urls import path

from tiles.public import views

app_name = "public"

urlpatterns = [
    path("public/", views.pages, name="pages"),
    path("public/publish/", views.publish, name="publish"),
    path("public/<int:pk>/withdraw/", views.withdraw, name="withdraw"),
    path("public/<int:pk>/open/", views.open_again, name="open"),
    path("p/<str:token>/", views.page, name="page"),
    path(
        "p/<str:token>/<sha256:sha256>/<str:share>/<str:sealed>/<photo_size:size>.jpg",
        views.photo,
        name="photo",
    ),
]
