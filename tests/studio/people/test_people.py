"""The keeper's list of people, and one's own account."""

import re

import pytest
import zxingcpp
from django.test import Client
from PIL import Image, ImageDraw

from studio.models import Person, SignInLink
from studio.people.queries import role_of
from studio.people.services import add_person, make_link
from studio.roles import Role
from studio.vocabulary import LinkPurpose

pytestmark = pytest.mark.django_db


def test_a_keeper_adds_a_person_and_gets_a_link_to_hand_over(keeper_client: Client, keeper):
    answer = keeper_client.post("/people/add/", {"name": "Ines Ivory", "role": "viewer"})
    link = re.search(r"/come-in/[\w-]+/", answer.content.decode())[0]
    ines = Person.objects.get(name="Ines Ivory")

    assert role_of(ines) is Role.VIEWER
    assert not ines.has_usable_password()
    assert SignInLink.objects.get().made_by == keeper
    assert Client().get(link).status_code == 200


def test_the_code_on_the_page_is_the_link(keeper_client: Client):
    page = keeper_client.post("/people/add/", {"name": "Ines", "role": "viewer"}).content.decode()
    shown = re.search(r'value="(http[^"]+)"', page)[1]

    # ISO/IEC 18004, read back by a decoder that knows nothing of the one who drew it.
    assert zxingcpp.read_barcode(_drawn(page)).text == shown


def _drawn(page: str) -> Image.Image:
    """The page's code as a picture: rows of strokes, each `m` moves and `h` draws, in modules."""
    svg = re.search(r"<svg[^>]*><title>The link as.*?</svg>", page, re.DOTALL)[0]
    width, scale = int(re.search(r'width="(\d+)"', svg)[1]), int(re.search(r"scale\((\d+)\)", svg)[1])
    picture = Image.new("L", (width, width), 255)
    pen, x, y = ImageDraw.Draw(picture), 0.0, 0.0
    for kind, first, second in re.findall(r"([Mmh])([\d.-]+)(?: ?([\d.-]+))?", svg.rpartition(' d="')[2]):
        match kind:
            case "M":
                x, y = float(first), float(second)
            case "m":
                x, y = x + float(first), y + float(second)
            case "h":
                corner = (x * scale, (y - 0.5) * scale)
                x += float(first)
                pen.rectangle((*corner, x * scale - 1, (y + 0.5) * scale - 1), fill=0)
    return picture


def test_a_link_that_opens_on_this_computer_only_is_warned_of(keeper_client: Client):
    here = keeper_client.post(
        "/people/add/", {"name": "A", "role": "viewer"}, headers={"Host": "127.0.0.1:8000"}
    )
    keeper_client.post("/preferences/", {**PREFERENCES, "address": "http://192.168.1.20:8000"})
    there = keeper_client.post("/people/add/", {"name": "B", "role": "viewer"})

    assert "on this computer only" in here.content.decode()
    assert "on this computer only" not in there.content.decode()
    assert "http://192.168.1.20:8000/come-in/" in there.content.decode()


PREFERENCES = {"studio_name": "Our studio", "temperature_unit": "C", "length_unit": "mm", "paper": "A4"}


def test_two_people_of_one_name_get_sign_in_names_of_their_own(db):
    names = [add_person("Ana Ash", Role.VIEWER).username for _ in range(3)]

    assert names == ["ana-ash", "ana-ash-2", "ana-ash-3"]


def test_a_keeper_changes_what_someone_may_do(keeper_client: Client, viewer):
    typed = {"name": viewer.name, "role": "recorder", "may_sign_in": "on"}
    answer = keeper_client.post(f"/people/{viewer.pk}/", typed)

    assert answer.status_code == 302
    assert role_of(Person.objects.get(pk=viewer.pk)) is Role.RECORDER


def test_someone_shut_out_is_signed_out_at_once(keeper_client: Client, viewer, viewer_client: Client):
    keeper_client.post(f"/people/{viewer.pk}/", {"name": viewer.name, "role": "viewer"})

    assert viewer_client.get("/account/").status_code == 302


@pytest.mark.parametrize(
    "typed", [{"role": "viewer", "may_sign_in": "on"}, {"role": "keeper"}], ids=["as a viewer", "shut out"]
)
def test_the_last_keeper_stays_keeper(keeper_client: Client, keeper, typed):
    answer = keeper_client.post(f"/people/{keeper.pk}/", {"name": "Kit", **typed})
    kept = Person.objects.get(pk=keeper.pk)

    assert answer.status_code == 422
    assert "needs a keeper" in answer.content.decode()
    assert (kept.is_active, role_of(kept)) == (True, Role.KEEPER)


def test_a_forgotten_password_gets_a_new_password_link(keeper_client: Client, viewer):
    viewer.set_password("was good enough")
    viewer.save()
    keeper_client.post(f"/people/{viewer.pk}/link/")

    assert SignInLink.objects.get().purpose == "new_password"


def mark_of_the_form(page: str) -> str:
    return re.search(r'name="once"\s+value="([^"]+)"', page)[1]


def test_a_page_with_a_link_that_is_loaded_anew_adds_nobody_twice_and_closes_no_link(keeper_client: Client):
    def add(form: str, name: str):
        return keeper_client.post(
            "/people/add/", {"name": name, "role": "viewer", "once": mark_of_the_form(form)}, follow=True
        )

    form = keeper_client.get("/people/add/").content.decode()
    shown = add(form, "Ines Ivory").content.decode()
    again = add(form, "Ines Ivory").content.decode()

    assert Person.objects.filter(name="Ines Ivory").count() == 1
    assert Client().get(re.search(r"/come-in/[\w-]+/", shown)[0]).status_code == 200
    assert "shown once" in again
    add(keeper_client.get("/people/add/").content.decode(), "Ines Ivory")
    assert Person.objects.filter(name="Ines Ivory").count() == 2


def test_a_link_page_that_is_loaded_anew_leaves_the_link_that_was_sent(keeper_client: Client, viewer):
    page = keeper_client.get(f"/people/{viewer.pk}/").content.decode()
    typed = {"once": mark_of_the_form(page)}
    sent = keeper_client.post(f"/people/{viewer.pk}/link/", typed).content.decode()
    again = keeper_client.post(f"/people/{viewer.pk}/link/", typed, follow=True).content.decode()

    assert Client().get(re.search(r"/come-in/[\w-]+/", sent)[0]).status_code == 200
    assert "shown once" in again


def test_who_forgot_their_password_reads_the_name_they_sign_in_by(client: Client, viewer):
    page = client.get(f"/come-in/{make_link(viewer, LinkPurpose.NEW_PASSWORD, by=None)}/").content.decode()

    assert f"You sign in as <strong>{viewer.username}</strong>" in page


def test_ten_more_people_cost_the_list_no_more_queries(keeper_client: Client, django_assert_max_num_queries):
    for n in range(12):
        add_person(f"Person {n}", Role.VIEWER)

    with django_assert_max_num_queries(12):
        page = keeper_client.get("/people/").content.decode()
    assert page.count("<tr>") == 14


def test_a_person_changes_their_own_name_and_colours(viewer_client: Client, viewer):
    answer = viewer_client.post("/account/", {"name": "Vee", "theme": "dark"})

    assert Person.objects.get(pk=viewer.pk).name == "Vee"
    assert answer.cookies["theme"].value == "dark"
    assert viewer_client.post("/account/", {"name": "Vee", "theme": "device"}).cookies["theme"].value == ""


def test_a_refused_name_does_not_change_the_page_around_it(viewer_client: Client, viewer):
    answer = viewer_client.post("/account/", {"name": "", "theme": "dark"})

    assert answer.status_code == 422
    assert answer.context["user"].name == viewer.name


def test_a_new_password_takes_the_present_one(viewer_client: Client, viewer):
    viewer.set_password("the present one")
    viewer.save()
    client = Client()
    client.force_login(viewer)
    typed = {"password": "a better one now", "again": "a better one now"}
    refused = client.post("/account/password/", {"current": "a guess", **typed})
    done = client.post("/account/password/", {"current": "the present one", **typed})

    assert refused.status_code == 422
    assert done.status_code == 302
    assert client.get("/account/").status_code == 200
    assert Person.objects.get(pk=viewer.pk).check_password("a better one now")


def test_someone_who_came_by_a_link_chooses_a_first_password(viewer_client: Client, viewer):
    typed = {"password": "a first one now", "again": "a first one now"}

    assert viewer_client.post("/account/password/", typed).status_code == 302
    assert Person.objects.get(pk=viewer.pk).check_password("a first one now")


def undo(client: Client, page: str) -> str:
    """Press the Undo of the newest message on a page; the page that follows."""
    address = re.findall(r'action="(/people/[^"]+/undo/[^"]+)"', page)[-1]
    return client.post(address, follow=True).content.decode()


def test_a_change_to_someone_is_undone_from_its_message(keeper_client: Client, recorder):
    name = recorder.name
    typed = {"name": "Somebody Else", "role": "viewer"}
    changed = keeper_client.post(f"/people/{recorder.pk}/", typed, follow=True).content.decode()
    undone = undo(keeper_client, changed)
    recorder.refresh_from_db()
    assert (recorder.name, role_of(recorder), recorder.is_active) == (name, Role.RECORDER, True)
    assert f"{name} stands as before." in undone

    undo(keeper_client, undone)

    recorder.refresh_from_db()
    assert (recorder.name, role_of(recorder), recorder.is_active) == ("Somebody Else", Role.VIEWER, False)


def test_an_old_undo_leaves_what_was_changed_since(keeper_client: Client, recorder):
    typed = {"name": recorder.name, "role": "viewer", "may_sign_in": "on"}
    first = keeper_client.post(f"/people/{recorder.pk}/", typed, follow=True).content.decode()
    keeper_client.post(f"/people/{recorder.pk}/", {**typed, "role": "keeper"})

    assert "changed again since" in undo(keeper_client, first)
    assert role_of(recorder) is Role.KEEPER


def test_an_undo_written_by_hand_makes_nobody_keeper(keeper_client: Client, recorder):
    assert keeper_client.post(f"/people/{recorder.pk}/undo/keeper/").status_code == 404
    assert role_of(recorder) is Role.RECORDER
