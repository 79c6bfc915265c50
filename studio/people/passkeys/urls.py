"""One's own passkeys, and the door they open."""

from django.urls import path

from studio.people.passkeys import views

app_name = "passkeys"
urlpatterns = [
    path("sign-in/passkey/ask/", views.ask_to_sign, name="ask_to_sign"),
    path("sign-in/passkey/", views.come_in, name="come_in"),
    path("account/passkeys/", views.passkeys, name="list"),
    path("account/passkeys/ask/", views.ask_to_make, name="ask_to_make"),
    path("account/passkeys/keep/", views.keep, name="keep"),
    path("account/passkeys/<int:pk>/", views.rename, name="rename"),
    path("account/passkeys/<int:pk>/remove/", views.remove, name="remove"),
    path("account/passkeys/<int:pk>/put-back/", views.put_back, name="put_back"),
    path("people/<int:pk>/passkeys/<int:passkey>/remove/", views.remove_lost, name="remove_lost"),
]
