"""Signing in and out, one's own account, and the keeper's list of people."""

from django.urls import include, path

from studio.people import views

app_name = "people"
urlpatterns = [
    path("", include("studio.people.passkeys.urls")),
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("sign-in/forgotten/", views.forgotten, name="forgotten"),
    path("sign-in/here/", views.come_in_here, name="come_in_here"),
    path("come-in/<str:token>/", views.come_in, name="come_in"),
    path("account/", views.account, name="account"),
    path("account/password/", views.password, name="password"),
    path("account/elsewhere/", views.sign_out_elsewhere, name="sign_out_elsewhere"),
    path("people/", views.people, name="list"),
    path("people/add/", views.add, name="add"),
    path("people/links/<int:pk>/withdraw/", views.withdraw_link, name="withdraw_link"),
    path("people/<int:pk>/", views.person, name="person"),
    path("people/<int:pk>/undo/<str:token>/", views.undo, name="undo"),
    path("people/<int:pk>/link/", views.link, name="link"),
]
