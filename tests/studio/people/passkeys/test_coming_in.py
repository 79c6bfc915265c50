"""Signing in by a passkey, and every way in which that is refused."""

import json
from datetime import timedelta

import pytest
from django.conf import settings as present
from django.contrib.sessions.backends.base import UpdateError
from django.contrib.sessions.models import Session
from django.test import Client
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from studio.models import Passkey, Person, SignInTry
from studio.people.passkeys import ceremony
from studio.people.passkeys.place import place_of
from studio.people.services import TRIES_PER_ADDRESS, TRIES_PER_NAME
from studio.people.sessions.queries import SessionStore
from tests.studio.people.passkeys.device import PRESENT, Device

pytestmark = pytest.mark.django_db

PASSWORD = "oval kiln on the hill"
HERE = {"HTTP_HOST": "localhost"}
SERVED = {"HTTP_HOST": "kiln.example", "HTTP_X_FORWARDED_PROTO": "https"}
NOT_KNOWN = "lets nobody in here"
TOO_LATE = "took too long, or was answered already"


@pytest.fixture
def rowan() -> Person:
    return Person.objects.create_user("rowan", password=PASSWORD, name="Rowan Reed")


def make(person: Person, device: Device, **where: str) -> Passkey:
    """Let a device make a passkey for someone, through their account page."""
    client = Client(**(where or HERE))
    client.force_login(person)
    typed = {"name": "my phone", "password": PASSWORD}
    options = client.post("/account/passkeys/ask/", typed).json()
    assert client.post("/account/passkeys/keep/", {"answer": device.make(options)}).status_code == 200
    return person.passkeys.get()


@pytest.fixture
def phone(rowan) -> Device:
    device = Device()
    make(rowan, device)
    return device


@pytest.fixture
def door() -> Client:
    return Client(**HERE)


def question(door: Client) -> dict:
    return door.post("/sign-in/passkey/ask/").json()


def answer(door: Client, words: str, **more):
    return door.post("/sign-in/passkey/", {"answer": words, **more})


def is_in(client: Client) -> bool:
    return client.get("/account/").status_code == 200


def assert_refused(got, words: str = NOT_KNOWN, status: int = 422) -> None:
    assert got.status_code == status
    assert words in got.json()["trouble"]


# Coming in


def test_a_passkey_lets_its_person_in_and_leads_where_they_wanted_to_go(door, rowan, phone):
    got = answer(door, phone.sign(question(door)), next="/account/passkeys/")

    assert got.json() == {"next": "/account/passkeys/"}
    assert is_in(door)
    assert door.get("/account/").context["user"] == rowan


def test_a_passkey_never_leads_to_another_site(door, phone):
    got = answer(door, phone.sign(question(door)), next="https://elsewhere.example/")

    assert got.json()["next"] == "/"


def test_when_a_passkey_was_last_used_is_kept_and_how_often(door, rowan, phone):
    answer(door, phone.sign(question(door)))

    kept = rowan.passkeys.get()
    assert kept.used_at is not None
    assert kept.sign_count == phone.count == 1


def test_a_device_that_does_not_count_comes_in_again_and_again(rowan, phone):
    for _ in range(2):
        door = Client(**HERE)
        phone.count = -1
        assert answer(door, phone.sign(question(door))).status_code == 200


def test_a_session_by_a_passkey_lasts_as_any_other_and_is_ended_like_one(door, rowan, phone):
    answer(door, phone.sign(question(door)))
    session = Session.objects.get(session_key=door.session.session_key)
    desk = Client(**HERE)
    desk.force_login(rowan)

    assert session.expire_date - timezone.now() > timedelta(seconds=present.SESSION_COOKIE_AGE - 60)
    desk.post("/account/elsewhere/")
    assert not is_in(door)


def test_a_question_left_unanswered_does_not_shorten_a_session_by_password(door, rowan, phone):
    question(door)
    door.post("/sign-in/", {"username": "rowan", "password": PASSWORD})

    assert door.session.get_expiry_age() == present.SESSION_COOKIE_AGE


def test_behind_a_proxy_the_origin_is_the_one_the_browser_sees(rowan, settings):
    settings.ALLOWED_HOSTS = ["kiln.example"]
    settings.SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    phone = Device(origin="https://kiln.example", site="kiln.example")
    make(rowan, phone, **SERVED)
    door = Client(**SERVED)

    assert answer(door, phone.sign(question(door))).status_code == 200
    assert is_in(door)


# Being refused


def test_a_signature_of_another_question_is_refused(door, phone):
    another = question(Client(**HERE))
    question(door)

    assert_refused(answer(door, phone.sign(another)))
    assert not is_in(door)


def test_an_answer_is_taken_once(door, phone):
    signed = phone.sign(question(door))
    answer(door, signed)
    door.post("/sign-out/")

    assert_refused(answer(door, signed), TOO_LATE)
    question(door)
    assert_refused(answer(door, signed))
    assert not is_in(door)


def test_of_two_answers_at_once_the_one_that_finds_its_session_ended_is_too_late(door, phone, monkeypatch):
    signed = phone.sign(question(door))

    def save(*_: object, **__: object) -> None:
        raise UpdateError

    monkeypatch.setattr(SessionStore, "save", save)

    assert_refused(answer(door, signed), TOO_LATE)


def test_a_refused_answer_uses_the_question_up(door, phone):
    asked = question(door)
    assert_refused(answer(door, "{}"))

    assert_refused(answer(door, phone.sign(asked)), TOO_LATE)


def test_an_answer_after_minutes_is_too_late(door, phone, monkeypatch):
    signed = phone.sign(question(door))
    monkeypatch.setattr("studio.people.passkeys.http.ANSWERED_WITHIN_S", -1)

    assert_refused(answer(door, signed), TOO_LATE)


def test_what_was_asked_to_make_a_passkey_lets_nobody_in(rowan, phone):
    client = Client(**HERE)
    client.force_login(rowan)
    options = client.post("/account/passkeys/ask/", {"name": "x", "password": PASSWORD}).json()

    assert_refused(answer(client, phone.sign(options)), TOO_LATE)


@pytest.mark.parametrize(
    "wrong", [{"origin": "https://kiln.example.evil"}, {"origin": "http://localhost:9"}, {"site": "evil"}]
)
def test_a_signature_made_on_another_site_is_refused(door, phone, wrong):
    for name, value in wrong.items():
        setattr(phone, name, value)

    assert_refused(answer(door, phone.sign(question(door))))


def test_a_passkey_of_another_of_the_studios_names_is_refused(door, phone):
    Passkey.objects.update(site="kiln.example")

    assert_refused(answer(door, phone.sign(question(door))))


def test_a_passkey_that_nobody_has_is_refused_in_the_same_words_as_a_false_one(door, phone):
    unknown = Device(handle=phone.handle)
    false = Device(handle=phone.handle, credential_id=phone.credential_id)

    first = answer(door, unknown.sign(question(door))).json()
    second = answer(door, false.sign(question(door))).json()

    assert first == second
    assert NOT_KNOWN in first["trouble"]


def test_a_removed_passkey_is_refused(door, phone):
    Passkey.objects.all().delete()

    assert_refused(answer(door, phone.sign(question(door))))


def test_a_passkey_that_says_it_is_somebody_elses_is_refused(door, phone):
    phone.handle = "c29tZWJvZHkgZWxzZQ"

    assert_refused(answer(door, phone.sign(question(door))))


def test_a_count_that_does_not_go_up_is_refused_as_a_copy(door, phone):
    answer(door, phone.sign(question(door)))
    door.post("/sign-out/")
    phone.count = 0

    assert_refused(answer(door, phone.sign(question(door))))


def test_who_only_touched_the_device_without_finger_face_or_pin_is_refused(door, phone):
    phone.flags = PRESENT

    assert_refused(answer(door, phone.sign(question(door))))


def test_who_may_no_longer_sign_in_is_refused(door, rowan, phone):
    Person.objects.filter(pk=rowan.pk).update(is_active=False)

    assert_refused(answer(door, phone.sign(question(door))))
    assert not is_in(door)


def test_the_eleventh_try_with_a_passkey_is_refused_though_it_is_right(door, phone):
    right, phone.origin = phone.origin, "https://evil.example"
    for _ in range(TRIES_PER_NAME):
        assert_refused(answer(door, phone.sign(question(door))))
    phone.origin = right

    assert_refused(answer(door, phone.sign(question(door))), "Too many tries", 429)


def test_tries_with_passkeys_and_passwords_from_one_address_are_counted_together(door, phone):
    for n in range(TRIES_PER_ADDRESS):
        door.post("/sign-in/", {"username": f"name-{n}", "password": "x"})

    assert_refused(answer(door, phone.sign(question(door))), "Too many tries", 429)


def test_who_guesses_at_somebodys_password_does_not_hold_up_their_passkey(door, phone):
    for _ in range(TRIES_PER_NAME):
        door.post("/sign-in/", {"username": "rowan", "password": "x"})

    assert answer(door, phone.sign(question(door))).status_code == 200


def test_getting_in_forgets_the_tries_before(door, phone):
    phone.origin, right = "https://evil.example", phone.origin
    answer(door, phone.sign(question(door)))
    phone.origin = right
    answer(door, phone.sign(question(door)))

    assert SignInTry.objects.count() == 0


@pytest.mark.parametrize("host", ["127.0.0.1:8000", "[::1]:8000"])
def test_an_address_of_figures_asks_nothing_and_says_so(phone, host):
    door = Client(HTTP_HOST=host)

    assert_refused(door.post("/sign-in/passkey/ask/"), "do not work at this address")
    assert_refused(answer(door, "{}"), "do not work at this address")


def test_another_site_can_neither_ask_nor_answer(phone):
    door = Client(enforce_csrf_checks=True, **HERE)

    assert door.post("/sign-in/passkey/ask/").status_code == 403
    assert answer(door, "{}").status_code == 403


def test_those_who_only_ask_leave_nothing_behind_for_long(door, phone):
    for _ in range(3):
        question(Client(**HERE))
    Session.objects.update(expire_date=timezone.now() - timedelta(seconds=1))
    question(door)

    assert Session.objects.count() == 1
    assert door.session.get_expiry_age() == ceremony.ANSWERED_WITHIN_S


# What is no answer at all

DEEP = some.recursive(
    some.none() | some.booleans() | some.integers() | some.text(max_size=20),
    lambda inner: some.lists(inner, max_size=4) | some.dictionaries(some.text(max_size=8), inner, max_size=4),
)
PLACE = place_of("http://localhost")
HOSTILE = settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])


@HOSTILE
@given(DEEP | some.text())
def test_junk_is_no_answer_and_breaks_nothing(junk):
    words = junk if isinstance(junk, str) else json.dumps(junk)

    with pytest.raises(ceremony.NotTrue):
        ceremony.made(words, PLACE, "AAAA")
    with pytest.raises(ceremony.NotTrue):
        ceremony.signed(words)


@HOSTILE
@given(some.data())
def test_an_answer_with_one_part_replaced_is_no_answer(data):
    phone = Device(handle="aGFuZGxl")
    kept = ceremony.made(
        phone.make({"user": {"id": "aGFuZGxl"}, "challenge": "Q0hBTExFTkdF"}), PLACE, "Q0hBTExFTkdF"
    )
    known = ceremony.Known(kept.credential_id, (), kept.public_key, 0, "aGFuZGxl")
    told = json.loads(phone.sign({"challenge": "Q0hBTExFTkdF"}))
    part = data.draw(some.sampled_from(sorted(told["response"])))
    was = told["response"][part]
    told["response"][part] = data.draw((some.text(max_size=60) | DEEP).filter(lambda new: new != was))

    with pytest.raises(ceremony.NotTrue):
        ceremony.signed(json.dumps(told)).believed(known, PLACE, "Q0hBTExFTkdF")
