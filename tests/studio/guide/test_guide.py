"""How to do each job: a page a task, that names what is there, linked from where it is needed."""

import re
from functools import cache
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from studio.guide.contents import BY_PAGE, TASKS
from tests.counting import queries_of
from tests.factories import (
    FiringFactory,
    GlazeFactory,
    TileFactory,
    WitnessConeFactory,
    fired_outcomes,
    glaze_tile,
)
from tests.test_permissions import SITE_MAP
from tests.words import all_words

pytestmark = pytest.mark.django_db
ROOT = Path(__file__).parents[3]
TEMPLATES = ROOT / "templates"


def guide_links(page: str) -> list[str]:
    return re.findall(r'href="(/guide/[^"]*)"', page)


def opened(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, address
    return answer.content.decode()


@cache
def on_screens() -> str:
    """All words of the studio but the guide's own."""
    return "\n".join(said.words for said in all_words() if "studio/guide" not in said.where)


def test_the_contents_lead_to_every_task_and_every_task_opens(viewer_client):
    leads_to = set(guide_links(opened(viewer_client, reverse("guide:index"))))

    for slug, task in TASKS.items():
        page = opened(viewer_client, reverse("guide:task", args=[slug]))

        assert reverse("guide:task", args=[slug]) in leads_to
        assert f"How to {task.title}" in page


@pytest.mark.parametrize("slug", TASKS)
def test_every_link_on_a_page_of_the_guide_opens_for_whoever_reads_it(
    slug, viewer_client, recorder_client, keeper_client
):
    for client in (viewer_client, recorder_client, keeper_client):
        page = opened(client, reverse("guide:task", args=[slug]))
        steps = page.partition('<div class="guide">')[2].partition("</main>")[0]
        links = set(re.findall(r'<a href="(/[^"]*)"', steps))

        assert links
        assert {link: client.get(link).status_code for link in links} == dict.fromkeys(links, 200)


@pytest.mark.parametrize("page", BY_PAGE)
def test_the_pages_that_link_to_the_guide_are_in_the_site_map(page):
    assert page in {address.name for address in SITE_MAP}


def test_each_page_of_the_studio_links_to_one_task_only():
    needed_on = [page for task in TASKS.values() for page in task.needed_on]

    assert len(needed_on) == len(set(needed_on))
    assert all(task.needed_on for task in TASKS.values())


@pytest.mark.parametrize(
    ("page", "slug"),
    [
        ("tiles:catalogue:index", "first-day"),
        ("importing:list", "spreadsheet"),
        ("tiles:planner:new", "plan"),
        ("tiles:recording:new", "glaze"),
        ("firings:logbook:new", "load"),
        ("tiles:tray:burst", "unload"),
        ("tiles:tray:sort", "sort"),
        ("tiles:prints:mat", "colour"),
        ("tiles:prints:choose", "print"),
        ("tiles:boards:list", "board"),
        ("tiles:search:results", "find"),
        ("tiles:answers:answer", "ask"),
        ("tiles:public:pages", "share"),
        ("backup:list", "keep"),
        ("history:bin_page", "mend"),
    ],
)
def test_a_page_links_to_the_task_that_is_done_on_it(keeper_client, page, slug):
    assert reverse("guide:task", args=[slug]) in guide_links(opened(keeper_client, reverse(page)))


def test_a_page_with_a_head_of_its_own_shows_its_link_too():
    for path in TEMPLATES.rglob("*.html"):
        text = path.read_text()
        if '{% extends "base.html" %}' in text and "block page_head" in text and "tilepage" not in path.parts:
            assert "{% how_to %}" in text, path


def test_what_the_guide_says_to_press_stands_on_a_screen():
    for slug, task in TASKS.items():
        text = (TEMPLATES / task.template).read_text()
        pressed = [words.replace("&amp;", "&") for words in re.findall(r'{% press "([^"]+)"', text)]

        assert pressed, slug
        assert [words for words in pressed if words not in on_screens()] == [], slug


def pressed_in(client: Client, slug: str) -> list[str]:
    return re.findall(r'<b class="press">([^<]+)</b>', opened(client, reverse("guide:task", args=[slug])))


@pytest.mark.parametrize("noted_before", [False, True])
def test_cones_of_a_cooled_kiln_are_read_by_the_button_the_guide_names(recorder_client, noted_before):
    firing = FiringFactory(fired=True)
    if noted_before:
        WitnessConeFactory(firing=firing, bend_deg=None)
    page = opened(recorder_client, reverse("firings:logbook:firing", args=[firing.number]))
    link = re.search(
        rf'href="{reverse("firings:logbook:cones", args=[firing.number])}">(.*?)</a>', page, re.DOTALL
    )

    assert link
    assert re.sub(r"<[^>]*>", "", link[1]).strip() in pressed_in(recorder_client, "heat")


@pytest.mark.parametrize("slug", ["judge", "mend"])
def test_many_results_are_changed_by_what_stands_with_all_that_were_found(recorder_client, slug):
    fired_outcomes(glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2})), FiringFactory(fired=True))
    page = opened(recorder_client, reverse("tiles:search:results"))
    summary, _, below = page.partition('<details class="found-all unfolds">')[2].partition("</summary>")

    steps = pressed_in(recorder_client, slug)
    assert steps.index("With all") == steps.index("Change or print many") - 1
    assert "With " in summary
    assert "Change or print many" in below.partition("</details>")[0]


def test_work_that_can_hurt_has_its_caution_in_the_guide(viewer_client):
    for slug, word in {
        "glaze": "respirator",
        "load": "Nothing here watches a kiln",
        "unload": "burns you",
        "judge": "accredited laboratory",
        "first-day": "licensed people",
    }.items():
        assert word in opened(viewer_client, reverse("guide:task", args=[slug]))


def test_an_unknown_task_is_not_there(viewer_client):
    assert viewer_client.get("/guide/no-such-task/").status_code == 404


def test_the_guide_asks_the_database_for_nothing_but_who_reads_it(viewer_client):
    task, account = reverse("guide:task", args=["ask"]), reverse("people:account")

    assert queries_of(viewer_client, task) <= queries_of(viewer_client, account) + 2
