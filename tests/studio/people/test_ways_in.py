"""Further ways in: a new password by mail, the studio's own machine without one, ending all other sessions."""

import re

import pytest
from django.conf import settings as present
from django.core import mail
from django.test import Client

from studio.models import Person, SignInLink

pytestmark = pytest.mark.django_db

PASSWORD = "oval kiln on the hill"
SENT = "a link is on its way"


@pytest.fixture
def rowan() -> Person:
    return Person.objects.create_user(
        "rowan", email="rowan@studio.example", password=PASSWORD, name="Rowan Reed"
    )


@pytest.fixture
def with_mail(settings):
    settings.MAIL_IS_ON = True


def ask(client: Client, said: str = "rowan"):
    return client.post("/sign-in/forgotten/", {"said": said})


# By mail


@pytest.mark.parametrize("said", ["rowan", " Rowan ", "rowan@studio.example", "ROWAN@studio.example"])
def test_a_forgotten_password_is_chosen_anew_by_a_mailed_link(client: Client, rowan, with_mail, said):
    assert SENT in ask(client, said).content.decode()

    [message] = mail.outbox
    link = re.search(r"/come-in/[\w-]+/", message.body)[0]
    chosen = "six buckets of slip"
    client.post(link, {"password": chosen, "again": chosen})

    assert message.to == ["rowan@studio.example"]
    assert client.get("/account/").status_code == 200
    assert Person.objects.get(pk=rowan.pk).check_password(chosen)
    assert client.get(link).status_code == 410


@pytest.mark.parametrize("said", ["nobody", "vesna", "left", "two@studio.example", "invited"])
def test_the_answer_is_the_same_where_nobody_gets_a_mail(client: Client, rowan, with_mail, said):
    Person.objects.create_user("vesna", password=PASSWORD, name="Vesna, who left no address")
    Person.objects.create_user("left", email="l@studio.example", password=PASSWORD, name="L", is_active=False)
    Person.objects.create_user("invited", email="i@studio.example", name="I")
    for name in ("one", "two"):
        Person.objects.create_user(name, email="two@studio.example", password=PASSWORD, name=name)

    told = ask(client, said).content.decode()

    assert not mail.outbox
    assert not SignInLink.objects.exists()
    assert _without_tokens(told) == _without_tokens(ask(client, "rowan").content.decode())


def _without_tokens(page: str) -> str:
    return "\n".join(line for line in page.splitlines() if "csrf" not in line.lower())


def test_asking_ever_again_is_refused(client: Client, rowan, with_mail):
    answers = [ask(client).status_code for _ in range(11)]

    assert answers == [200] * 10 + [429]


def test_a_studio_without_a_mail_server_offers_no_mail(client: Client, rowan):
    assert not present.MAIL_IS_ON
    assert ask(client).status_code == 404
    assert "I forgot my password" not in client.get("/sign-in/").content.decode()


def test_a_person_gives_their_own_mail_address(client: Client, rowan, with_mail):
    client.force_login(rowan)
    client.post("/account/", {"name": "Rowan Reed", "email": "new@studio.example", "theme": "device"})

    assert Person.objects.get(pk=rowan.pk).email == "new@studio.example"


# At the studio's own machine


def come_in(client: Client, person: Person, **headers: str):
    return client.post("/sign-in/here/", {"person": person.pk}, **headers)


def test_who_sits_at_the_machine_comes_in_where_the_studio_chose_that(client: Client, rowan, settings):
    settings.WITHOUT_PASSWORDS = True
    door = client.get("/sign-in/").content.decode()

    come_in(client, rowan)

    assert "Rowan Reed" in door
    assert "can come in as anyone" in door
    assert client.get("/account/").status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"REMOTE_ADDR": "192.168.1.30"},
        {"REMOTE_ADDR": "::ffff:192.168.1.30"},
        {"REMOTE_ADDR": ""},
        {"HTTP_X_FORWARDED_FOR": "127.0.0.1"},
        {"HTTP_FORWARDED": "for=127.0.0.1"},
        {"HTTP_VIA": "1.1 proxy"},
    ],
)
def test_from_elsewhere_everyone_needs_a_password(client: Client, rowan, settings, headers):
    settings.WITHOUT_PASSWORDS = True

    assert come_in(client, rowan, **headers).status_code == 403
    assert "Rowan Reed" not in client.get("/sign-in/", **headers).content.decode()


@pytest.mark.parametrize("behind_https", [False, True])
def test_without_that_choice_nobody_comes_in_without_a_password(
    client: Client, rowan, settings, behind_https
):
    settings.WITHOUT_PASSWORDS, settings.BEHIND_HTTPS = behind_https, behind_https

    assert come_in(client, rowan).status_code == 403


def test_who_may_no_longer_sign_in_is_not_offered(client: Client, rowan, settings):
    settings.WITHOUT_PASSWORDS = True
    Person.objects.filter(pk=rowan.pk).update(is_active=False)

    come_in(client, rowan)

    assert client.get("/account/").status_code == 302


# Sessions


def test_a_lost_phone_is_signed_out_from_another_browser(rowan):
    phone, desk = Client(), Client()
    for browser in (phone, desk):
        browser.post("/sign-in/", {"username": "rowan", "password": PASSWORD})

    desk.post("/account/elsewhere/")

    assert desk.get("/account/").status_code == 200
    assert phone.get("/account/").status_code == 302


def test_sessions_from_before_there_were_marks_stay_open(client: Client, rowan):
    """An empty mark signs a session as the framework does by itself."""
    client.force_login(rowan)
    signed = client.session["_auth_user_hash"]

    assert signed == super(Person, rowan)._get_session_auth_hash()
