"""A person's own passkeys: made after showing who they are, renamed, removed; a keeper takes a lost one away."""

import json
import time
from datetime import timedelta

import pytest
from django.test import Client

from studio.models import Passkey, Person, SignInTry
from studio.people.http import CAME_IN_AT, LATELY
from studio.people.passkeys import ceremony
from studio.people.passkeys.http import REMOVED
from studio.people.passkeys.services import MOST_PASSKEYS
from studio.people.services import TRIES_PER_NAME, make_link
from studio.vocabulary import LinkPurpose
from tests.factories import PasskeyFactory
from tests.studio.people.passkeys.device import PRESENT, Device, bytes_of

pytestmark = pytest.mark.django_db

PASSWORD = "oval kiln on the hill"
PAGE, ASK, KEEP = "/account/passkeys/", "/account/passkeys/ask/", "/account/passkeys/keep/"
HERE = {"HTTP_HOST": "localhost"}


@pytest.fixture
def rowan() -> Person:
    return Person.objects.create_user("rowan", password=PASSWORD, name="Rowan Reed")


@pytest.fixture
def long_ago(rowan) -> Client:
    """Rowan's browser, where they came in long ago."""
    client = Client(**HERE)
    client.force_login(rowan)
    return client


@pytest.fixture
def just_now(rowan) -> Client:
    """Rowan's browser, where they came in just now."""
    client = Client(**HERE)
    client.post("/sign-in/", {"username": "rowan", "password": PASSWORD})
    return client


def trouble(answer) -> str:
    assert answer.status_code in (422, 429)
    return answer.json()["trouble"]


# Making one


def test_who_came_in_just_now_makes_a_passkey_by_its_name_alone(just_now, rowan):
    phone = Device()
    options = just_now.post(ASK, {"name": "my phone"}).json()
    answer = just_now.post(KEEP, {"answer": phone.make(options)})
    kept = rowan.passkeys.get()

    assert answer.json() == {"next": PAGE}
    assert (kept.name, kept.site, kept.transports) == ("my phone", "localhost", ["internal"])
    assert kept.used_at is None
    assert "my phone" in just_now.get(PAGE).content.decode()


def test_the_browser_is_asked_for_one_that_is_kept_on_the_device_and_unlocked_there(just_now):
    options = just_now.post(ASK, {"name": "my phone"}).json()

    assert options["rp"] == {"id": "localhost", "name": "Our studio"}
    assert options["authenticatorSelection"]["residentKey"] == "required"
    assert options["authenticatorSelection"]["userVerification"] == "required"
    assert options["attestation"] == "none"


def test_who_came_in_long_ago_types_their_password(long_ago, rowan):
    assert 'name="password"' in long_ago.get(PAGE).content.decode()

    assert "load this page again" in trouble(long_ago.post(ASK, {"name": "x"})).lower()
    assert "not your present password" in trouble(long_ago.post(ASK, {"name": "x", "password": "wrong"}))
    assert long_ago.post(ASK, {"name": "x", "password": PASSWORD}).status_code == 200


def test_ten_minutes_after_coming_in_the_password_is_asked_for_again(just_now):
    assert 'name="password"' not in just_now.get(PAGE).content.decode()

    session = just_now.session
    session[CAME_IN_AT] = time.time() - LATELY.total_seconds() - 1
    session.save()

    assert 'name="password"' in just_now.get(PAGE).content.decode()
    assert trouble(just_now.post(ASK, {"name": "x"}))


def test_coming_in_elsewhere_just_now_does_not_help_an_older_session(long_ago, just_now):
    assert trouble(long_ago.post(ASK, {"name": "x"}))


def test_who_came_in_at_the_machine_without_a_password_has_shown_nothing(rowan, settings):
    settings.WITHOUT_PASSWORDS = True
    client = Client(**HERE)
    client.post("/sign-in/here/", {"person": rowan.pk})

    assert trouble(client.post(ASK, {"name": "x"}))


def test_who_has_no_password_and_came_in_long_ago_is_told_to_come_in_again(recorder, recorder_client):
    page = recorder_client.get(PAGE, **HERE).content.decode()

    assert "Sign out" in page
    assert "data-passkey-make" not in page


def test_who_came_by_a_link_just_now_makes_one_without_a_password(recorder):
    client = Client(**HERE)
    client.post(f"/come-in/{make_link(recorder, LinkPurpose.SIGN_IN, by=None)}/")

    assert client.post(ASK, {"name": "x"}).status_code == 200


def test_guessing_the_password_there_is_held_up_as_at_the_door(long_ago):
    for _ in range(TRIES_PER_NAME):
        trouble(long_ago.post(ASK, {"name": "x", "password": "wrong"}))

    assert "Too many tries" in trouble(long_ago.post(ASK, {"name": "x", "password": PASSWORD}))


def test_the_right_password_there_forgets_the_tries_before(long_ago):
    long_ago.post(ASK, {"name": "x", "password": "wrong"})
    long_ago.post(ASK, {"name": "x", "password": PASSWORD})

    assert SignInTry.objects.count() == 0


def test_a_passkey_without_a_name_is_asked_for_one(just_now):
    answer = just_now.post(ASK, {"name": " "})

    assert answer.json()["field"] == "name"


@pytest.mark.parametrize(
    "wrong",
    [
        {"origin": "https://evil.example"},
        {"site": "evil.example"},
        {"flags": PRESENT},
        {"origin": "http://localhost:1"},
    ],
)
def test_what_was_made_elsewhere_or_without_finger_face_or_pin_is_not_kept(just_now, wrong):
    options = just_now.post(ASK, {"name": "x"}).json()

    assert "nothing was kept" in trouble(just_now.post(KEEP, {"answer": Device(**wrong).make(options)}))
    assert not Passkey.objects.exists()


def test_what_was_made_for_another_question_is_not_kept(just_now, long_ago):
    another = long_ago.post(ASK, {"name": "x", "password": PASSWORD}).json()
    just_now.post(ASK, {"name": "x"})

    assert "nothing was kept" in trouble(just_now.post(KEEP, {"answer": Device().make(another)}))


def test_what_a_device_made_is_kept_once(just_now):
    phone = Device()
    made = phone.make(just_now.post(ASK, {"name": "x"}).json())
    just_now.post(KEEP, {"answer": made})

    assert "answered already" in trouble(just_now.post(KEEP, {"answer": made}))
    again = phone.make(just_now.post(ASK, {"name": "x"}).json())
    assert "nothing was kept" in trouble(just_now.post(KEEP, {"answer": again}))
    assert Passkey.objects.count() == 1


def test_a_device_that_holds_one_already_is_told_so_and_tells_the_person_by_the_same_handle(just_now, rowan):
    phone = Device()
    first = just_now.post(ASK, {"name": "x"}).json()
    just_now.post(KEEP, {"answer": phone.make(first)})
    second = just_now.post(ASK, {"name": "y"}).json()

    assert [one["id"] for one in second["excludeCredentials"]] == [rowan.passkeys.get().credential_id]
    assert second["user"]["id"] == first["user"]["id"]


def test_the_handle_a_device_knows_a_person_by_is_drawn_by_lot_and_says_nothing(just_now, rowan):
    first, second = (just_now.post(ASK, {"name": "x"}).json()["user"]["id"] for _ in range(2))

    assert first != second
    assert len(bytes_of(first)) == ceremony.HANDLE_BYTES


def test_one_passkey_too_many_is_refused_before_the_device_makes_it(just_now, rowan):
    PasskeyFactory.create_batch(MOST_PASSKEYS, person=rowan)

    assert "Remove one" in trouble(just_now.post(ASK, {"name": "x"}))


@pytest.mark.parametrize("host", ["127.0.0.1", "192.168.1.20"])
def test_at_an_address_of_figures_the_page_says_where_passkeys_work(rowan, settings, host):
    settings.ALLOWED_HOSTS = ["*"]
    client = Client(HTTP_HOST=host)
    client.force_login(rowan)
    page = client.get(PAGE).content.decode()

    assert "do not work at this address" in page
    assert "data-passkey-make" not in page
    assert ("http://localhost" in page) is (host == "127.0.0.1")


# Having some


def test_a_passkey_is_renamed(long_ago, rowan):
    kept = PasskeyFactory(person=rowan)
    long_ago.post(f"{PAGE}{kept.pk}/", {"name": "the desk"})

    assert rowan.passkeys.get().name == "the desk"
    assert long_ago.post(f"{PAGE}{kept.pk}/", {"name": ""}).status_code == 422


def test_a_passkey_is_removed(long_ago, rowan):
    kept = PasskeyFactory(person=rowan)
    page = long_ago.post(f"{PAGE}{kept.pk}/remove/", follow=True).content.decode()

    assert "lets nobody in any more" in page
    assert not rowan.passkeys.exists()


def removed_by(client: Client, passkey: Passkey) -> str:
    """Remove a passkey; the address that the Undo in the message posts to."""
    page = client.post(f"{PAGE}{passkey.pk}/remove/", follow=True).content.decode()
    undo = f"{PAGE}{passkey.pk}/put-back/"
    assert f'action="{undo}"' in page
    return undo


def test_a_passkey_removed_by_mistake_signs_in_again_as_it_was(just_now, rowan):
    phone = Device()
    just_now.post(KEEP, {"answer": phone.make(just_now.post(ASK, {"name": "my phone"}).json())})
    kept = Passkey.objects.get()
    undo = removed_by(just_now, kept)

    assert "my phone signs you in again" in just_now.post(undo, follow=True).content.decode()
    back = Passkey.objects.get()
    assert (back.pk, back.name, back.credential_id) == (kept.pk, kept.name, kept.credential_id)
    assert abs(back.made_at - kept.made_at) < timedelta(milliseconds=1)
    door = Client(**HERE)
    signed = phone.sign(door.post("/sign-in/passkey/ask/").json())
    assert door.post("/sign-in/passkey/", {"answer": signed}).json() == {"next": "/"}


def test_of_two_that_were_removed_each_undo_puts_its_own_back(long_ago, rowan):
    phone, desk = PasskeyFactory(person=rowan, name="phone"), PasskeyFactory(person=rowan, name="desk")
    undo, _ = removed_by(long_ago, phone), removed_by(long_ago, desk)
    long_ago.post(undo)

    assert [one.name for one in rowan.passkeys.all()] == ["phone"]


@pytest.mark.parametrize("then", ["later", "signed out elsewhere", "a keeper’s", "another browser", "twice"])
def test_an_undo_left_open_lets_no_lost_device_in_again(then, long_ago, rowan, keeper_client):
    lost, other = PasskeyFactory.create_batch(2, person=rowan)
    undo, client = removed_by(long_ago, lost), long_ago
    if then == "later":
        session = long_ago.session
        session[REMOVED][str(lost.pk)]["at"] -= LATELY.total_seconds() + 1
        session.save()
    elif then == "signed out elsewhere":
        long_ago.post("/account/elsewhere/")
    elif then == "a keeper’s":
        keeper_client.post(f"/people/{rowan.pk}/passkeys/{other.pk}/remove/")
    elif then == "another browser":
        client = Client(**HERE)
        client.force_login(rowan)
    else:
        long_ago.post(undo)
        rowan.passkeys.get(pk=lost.pk).delete()
    told = client.post(undo, follow=True).content.decode()

    assert not rowan.passkeys.filter(name=lost.name, credential_id=lost.credential_id).exists()
    assert then == "a keeper’s" or "can’t be put back any more" in told


def test_no_more_are_put_back_than_one_may_have(long_ago, rowan):
    undo = removed_by(long_ago, PasskeyFactory(person=rowan))
    PasskeyFactory.create_batch(MOST_PASSKEYS, person=rowan)

    assert f"You have {MOST_PASSKEYS} passkeys" in long_ago.post(undo, follow=True).content.decode()
    assert rowan.passkeys.count() == MOST_PASSKEYS


@pytest.mark.parametrize("do", ["", "remove/"])
def test_another_persons_passkey_is_not_ones_own(long_ago, keeper, do):
    kept = PasskeyFactory(person=keeper)

    assert long_ago.post(f"{PAGE}{kept.pk}/{do}", {"name": "mine"}).status_code == 404
    assert Passkey.objects.get().name == kept.name


def test_a_keeper_takes_a_lost_phones_passkey_away_and_ends_its_sessions(keeper_client, long_ago, rowan):
    lost, other = PasskeyFactory.create_batch(2, person=rowan)
    page = keeper_client.get(f"/people/{rowan.pk}/").content.decode()
    assert f"/people/{rowan.pk}/passkeys/{lost.pk}/remove/" in page

    keeper_client.post(f"/people/{rowan.pk}/passkeys/{lost.pk}/remove/")

    assert list(rowan.passkeys.all()) == [other]
    assert long_ago.get("/account/").status_code == 302


def test_a_keeper_who_takes_their_own_away_stays_signed_in_here(keeper, keeper_client):
    lost = PasskeyFactory(person=keeper)
    keeper_client.post(f"/people/{keeper.pk}/passkeys/{lost.pk}/remove/")

    assert keeper_client.get("/people/").status_code == 200


def test_an_address_that_mixes_two_people_takes_nothing_away(keeper, keeper_client, rowan):
    kept = PasskeyFactory(person=rowan)

    assert keeper_client.post(f"/people/{keeper.pk}/passkeys/{kept.pk}/remove/").status_code == 404
    for_nobody = f"/people/{'9' * 30}/passkeys/{kept.pk}/remove/"
    assert keeper_client.post(for_nobody).status_code == 404
    assert Passkey.objects.exists()


# The door


def test_the_door_speaks_of_passkeys_once_somebody_has_one(client, rowan):
    assert "passkey" not in client.get("/sign-in/", **HERE).content.decode()
    PasskeyFactory(person=rowan)

    assert "Sign in with a passkey" in client.get("/sign-in/", **HERE).content.decode()


def test_the_door_at_an_address_of_figures_says_why_there_is_no_button(client, rowan):
    PasskeyFactory(person=rowan)
    page = client.get("/sign-in/", HTTP_HOST="127.0.0.1").content.decode()

    assert "Sign in with a passkey" not in page
    assert "do not work at this address" in page


def test_without_scripts_the_button_is_not_shown(client, rowan):
    PasskeyFactory(person=rowan)
    page = client.get("/sign-in/", **HERE).content.decode()

    assert "hidden data-passkey" in " ".join(page.split())


def test_no_secret_is_kept_that_would_let_anyone_in(just_now, rowan):
    phone = Device()
    just_now.post(KEEP, {"answer": phone.make(just_now.post(ASK, {"name": "x"}).json())})
    secret = phone.key.private_numbers().private_value.to_bytes(32, "big")
    row = Passkey.objects.values().get()

    assert secret not in bytes(row["public_key"])
    assert secret.hex() not in json.dumps({name: str(value) for name, value in row.items()})
