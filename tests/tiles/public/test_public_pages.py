"""What a keeper made public: open to anybody with the address, closed at once, with nothing private in it."""

import pytest
from django.conf import settings
from django.test import Client

from tests.counting import queries_of
from tests.factories import (
    BoardFactory,
    BoardSlotFactory,
    ClayBodyFactory,
    FiringFactory,
    GlazeBatchFactory,
    GlazeFactory,
    PersonFactory,
    PhotoFactory,
    PhotoFilingFactory,
    SeriesFactory,
    TileFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.models import PublicPage
from tiles.public import services
from tiles.public.seal import seal

pytestmark = pytest.mark.django_db
SECRETS = {
    "remark": "ask Ottoline about this one",
    "note": "from her private tin",
    "cost": "43.21",
    "name": "Perpetua Quillfeather",
    "mail": "quill@kiln.example",
    "file": "IMG_holiday_3141.jpg",
    "series": "Commission for the mayor",
}


@pytest.fixture
def tile():
    """A judged tile with everything private a studio may have written around it."""
    person = PersonFactory(name=SECRETS["name"], email=SECRETS["mail"])
    glaze = GlazeFactory(name="Harbour", note=SECRETS["note"])
    body = ClayBodyFactory(name="Dune speckled", note=SECRETS["note"])
    tile = TileFactory(
        body=body, note=SECRETS["note"], series=SeriesFactory(name=SECRETS["series"]), created_by=person
    )
    glaze_tile(
        tile, (glaze, {"band 1": 1, "band 2": 2}), batch=GlazeBatchFactory(glaze=glaze, note=SECRETS["note"])
    )
    firing = FiringFactory(fired=True, cost=SECRETS["cost"], note=SECRETS["note"])
    for outcome in fired_outcomes(tile, firing):
        outcome.surface, outcome.remark, outcome.judged_by = "satin", SECRETS["remark"], person
        outcome.judged_at = firing.unloaded_at or firing.started_at
        outcome.save()
    photo = PhotoFactory(original_name=SECRETS["file"], stored_by=person)
    PhotoFilingFactory(photo=photo, tile=tile, placement=tile.placements.get())
    return tile


@pytest.fixture
def public(tile, keeper):
    return services.publish(by=keeper, tile=tile)


@pytest.fixture
def anybody():
    return Client()


def address_of(page):
    return f"/p/{page.token}/"


def photo_address(page, photo, share="whole", size="small"):
    return f"/p/{page.token}/{photo.sha256}/{share}/{seal_of(page, photo, share)}/{size}.jpg"


def seal_of(page, photo, share):
    return seal(settings.SECRET_KEY, page.token, photo.sha256, share)


def test_anybody_with_the_address_sees_number_clay_stack_and_judgement(anybody, public, tile):
    page = anybody.get(address_of(public)).content.decode()

    for words in (tile.label, "Dune speckled", "Harbour ×2", "satin", "statement about food use"):
        assert words in page


def test_nothing_private_is_in_its_bytes(anybody, public):
    answer = anybody.get(address_of(public))
    told = answer.content.decode() + repr(answer.headers)

    for secret in SECRETS.values():
        assert secret not in told
    assert "original" not in told


def test_nothing_private_is_in_a_public_range_sheet_or_board(anybody, keeper, tile):
    board = BoardFactory(name="North wall", note=SECRETS["note"])
    BoardSlotFactory(board=board, row=1, column=1, tile=tile, wanted=SECRETS["remark"])
    glaze = tile.layers.get().glaze
    pages = [
        services.publish(by=keeper, glaze=glaze, query="rows=body&columns=cone"),
        services.publish(by=keeper, board=board),
    ]
    for page in pages:
        told = anybody.get(address_of(page)).content.decode()

        assert "Harbour" in told
        for secret in SECRETS.values():
            assert secret not in told


def test_it_needs_no_script_and_no_sign_in_and_is_kept_from_search_engines(anybody, public):
    answer = anybody.get(address_of(public))

    assert b"<script" not in answer.content
    assert "noindex" in answer.headers["X-Robots-Tag"]
    assert not answer.cookies
    assert len(answer.content) < 60_000


def test_it_is_gone_at_once_when_it_is_withdrawn_and_comes_back_under_its_address(
    anybody, keeper_client, public
):
    keeper_client.post(f"/public/{public.pk}/withdraw/")
    gone = anybody.get(address_of(public))
    keeper_client.post(f"/public/{public.pk}/open/")

    assert gone.status_code == 410
    assert "No longer public" in gone.content.decode()
    assert anybody.get(address_of(public)).status_code == 200


def test_a_tile_in_the_bin_is_not_shown(anybody, public, tile, keeper_client):
    keeper_client.post(f"/history/tiles/tile/{tile.pk}/bin/")

    assert anybody.get(address_of(public)).status_code == 410


def test_its_photos_are_shown_without_what_the_camera_noted_and_only_under_their_seal(anybody, public, tile):
    photo = tile.photo_filings.get().photo
    other = PhotoFactory()
    page = anybody.get(address_of(public)).content.decode()
    stolen = photo_address(public, photo).replace(photo.sha256, other.sha256)

    assert photo_address(public, photo) in page
    assert anybody.get(stolen).status_code == 404
    assert anybody.get(f"/photos/{photo.sha256}/original/").status_code == 302
    assert anybody.get(f"/photos/{photo.sha256}/small.jpg").status_code == 302


def test_a_withdrawn_pages_photos_are_gone_too(anybody, public, tile, keeper):
    services.withdraw(public, by=keeper)

    assert anybody.get(photo_address(public, tile.photo_filings.get().photo)).status_code == 404


def test_a_scanned_code_opens_the_public_page_for_strangers_and_the_whole_one_for_the_studio(
    anybody, viewer_client, public, tile
):
    assert anybody.get(f"/T/{tile.label}").headers["Location"] == address_of(public)
    assert viewer_client.get(f"/T/{tile.label}").headers["Location"] == f"/tiles/{tile.label}/"


def test_who_is_of_the_studio_and_signed_out_comes_from_the_public_page_to_the_tile(anybody, public, tile):
    page = anybody.get(f"/p/{public.token}/").content.decode()
    assert f'href="/tiles/{tile.label}/"' in page

    door = anybody.get(f"/tiles/{tile.label}/")
    assert door.status_code == 302
    assert door["Location"].endswith(f"?next=/tiles/{tile.label}/")


def test_the_code_of_a_tile_that_is_not_public_leads_to_the_door(anybody):
    assert anybody.get(f"/T/{TileFactory().label}").headers["Location"].startswith("/sign-in/")


def test_what_did_not_change_is_not_sent_again(anybody, public, tile):
    mark = anybody.get(address_of(public)).headers["ETag"]
    again = anybody.get(address_of(public), headers={"If-None-Match": mark})
    outcome = tile.outcomes.first()
    outcome.surface = "dry"
    outcome.save()

    assert (again.status_code, again.content) == (304, b"")
    assert anybody.get(address_of(public), headers={"If-None-Match": mark}).status_code == 200


def test_a_keeper_makes_a_tile_public_from_its_page(keeper_client, tile):
    page = keeper_client.get(tile.get_absolute_url()).content.decode()
    listed = keeper_client.post(
        "/public/publish/", {"kind": "tile", "key": tile.label}, follow=True
    ).content.decode()

    assert "Make public" in page
    assert PublicPage.objects.get().tile == tile
    assert f"Tile {tile.label} is public." in listed


@pytest.mark.parametrize("role", ["viewer_client", "recorder_client"])
def test_nobody_else_makes_anything_public(request, role, tile):
    client = request.getfixturevalue(role)

    assert client.post("/public/publish/", {"kind": "tile", "key": tile.label}).status_code == 403
    assert "Make public" not in client.get(tile.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    ("kind", "key"),
    [
        ("tile", "1042-0"),
        ("tile", "9"),
        ("sheet", "999999?rows=x"),
        ("board", "x"),
        ("kiln", "1"),
        ("sheet", "?"),
    ],
)
def test_what_is_not_there_is_not_made_public(keeper_client, kind, key):
    answer = keeper_client.post("/public/publish/", {"kind": kind, "key": key}, follow=True)

    assert answer.status_code == 200
    assert not PublicPage.objects.exists()
    assert answer.context["messages"]


def test_the_same_thing_twice_is_one_page(keeper, tile):
    assert services.publish(by=keeper, tile=tile) == services.publish(by=keeper, tile=tile)


def test_a_guessed_address_opens_nothing(anybody, public):
    assert anybody.get("/p/aaaaaaaaaaaaaaaaaaaaaa/").status_code == 404


def test_a_public_page_asks_as_often_for_many_photos_as_for_few(anybody, public, tile):
    anybody.get(address_of(public))
    before = queries_of(anybody, address_of(public))
    for _ in range(4):
        PhotoFilingFactory(photo=PhotoFactory(), tile=tile, placement=tile.placements.get())

    assert queries_of(anybody, address_of(public)) == before


@pytest.mark.parametrize("width", [360, 1280])
def test_a_phone_shows_it_without_scrolling_sideways_and_axe_finds_nothing(
    open_page, barriers, public, width
):
    page = open_page(address_of(public), None, width=width)

    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert barriers(page) == []


@pytest.fixture
def laid_board(keeper, tile):
    """The tile hangs where cone and clay meet by rule; the slot beside it is free."""
    board = BoardFactory(name="North wall", rows=1, columns=2)
    cone = str(tile.outcomes.first().reached_order or tile.outcomes.first().target_order)
    board.rule = {
        "across": "cone",
        "down": "body",
        "columns": [[cone, "cone six"], ["5", "cone five"]],
        "rows": [[str(tile.body_id), "Dune speckled by rule"]],
    }
    board.save()
    BoardSlotFactory(board=board, row=1, column=1, tile=tile)
    return services.publish(by=keeper, board=board)


def test_a_public_board_stands_under_the_headings_of_the_wall_board(anybody, laid_board):
    page = anybody.get(address_of(laid_board)).content.decode()

    assert '<th scope="col">cone six</th>' in page
    assert '<th scope="col">cone five</th>' in page
    assert '<th scope="row">Dune speckled by rule</th>' in page
    # On a phone the columns are gone, so each slot says its own.
    assert 'aria-hidden="true">cone six</span>' in page


def test_a_heading_that_what_hangs_there_belies_is_not_public_either(anybody, laid_board):
    laid_board.board.rule = {**laid_board.board.rule, "rows": [["999999", "Dune speckled by rule"]]}
    laid_board.board.save()

    page = anybody.get(address_of(laid_board)).content.decode()

    assert "Dune speckled by rule" not in page
    assert "cone six" in page


def test_a_public_board_without_a_rule_has_no_headings(anybody, keeper, tile):
    board = BoardFactory(name="North wall")
    BoardSlotFactory(board=board, row=1, column=1, tile=tile)

    page = anybody.get(address_of(services.publish(by=keeper, board=board))).content.decode()

    assert "<th" not in page
