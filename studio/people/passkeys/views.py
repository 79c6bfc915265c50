"""One's own passkeys, and the door they open."""

from datetime import timedelta

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.decorators import login_required, permission_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import say, typed_in
from studio.http import PersonRequest, client_address
from studio.models import Person
from studio.people.http import BY_LINK, LATELY, TOO_MANY_TRIES, after_sign_in, came_in_lately, let_in
from studio.people.passkeys import ceremony, queries, services
from studio.people.passkeys.forms import AnswerForm, NameForm, NewPasskeyForm
from studio.people.passkeys.http import ask, asked, note_removed, place_here, take_removed, where
from studio.people.services import TooManyTries, count_try, forget_tries

TO_SIGN_IN, TO_MAKE = "sign in", "make"

NOT_HERE = "Passkeys do not work at this address."
TOO_LATE = "That took too long, or was answered already. Press the button again."
NOT_KNOWN = "This passkey lets nobody in here. Sign in with your password, or ask the studio’s keeper."
NOT_MADE = "What your device answered could not be checked, so nothing was kept. Press the button again."
TOO_LATE_TO_PUT_BACK = "This passkey can’t be put back any more. Make a new one on that device."
COME_IN_AGAIN = "It is a while since you came in. Load this page again, and type your password."


def _trouble(words: str, status: int = 422, field: str = "") -> JsonResponse:
    """What is wrong, in words, and which field of the form it is about."""
    return JsonResponse({"trouble": words, "field": field}, status=status)


# At the door


@never_cache
@require_POST
def ask_to_sign(request: HttpRequest) -> HttpResponse:
    """A question that a passkey answers; who is there turns out only then."""
    place = place_here(request)
    if place is None:
        return _trouble(NOT_HERE)
    # What was kept of those who came to the door and left does not pile up.
    request.session.clear_expired()
    return JsonResponse(ceremony.what_to_sign(place, ask(request, TO_SIGN_IN)))


@never_cache
@require_POST
def come_in(request: HttpRequest) -> HttpResponse:
    """Let in whose passkey signed the question. Whatever does not hold gets the same answer."""
    place, before, form = place_here(request), asked(request, TO_SIGN_IN), AnswerForm(request.POST)
    if place is None or before is None:
        return _trouble(NOT_HERE if place is None else TOO_LATE)
    try:
        signed = ceremony.signed(form.data.get("answer", "") if form.is_valid() else "")
        tried = f"passkey {signed.credential_id}", client_address(request, settings.BEHIND_HTTPS)
        count_try(*tried)
        person = services.person_who_signed(signed, place, before["challenge"])
    except TooManyTries:
        return _trouble(TOO_MANY_TRIES, status=429)
    except ceremony.NotTrue:
        return _trouble(NOT_KNOWN)
    forget_tries(*tried)
    let_in(request, person, backend=BY_LINK)
    return JsonResponse({"next": after_sign_in(request)})


# One's own


@require_safe
@login_required
def passkeys(request: PersonRequest) -> HttpResponse:
    """A person's passkeys, and making one."""
    lately, person = came_in_lately(request), request.user
    context = {
        "passkeys": queries.passkeys_of(person),
        **where(request),
        "form": NewPasskeyForm(person=person, came_in_lately=lately),
        "must_come_in_again": not lately and not person.has_usable_password(),
        "lately": LATELY // timedelta(minutes=1),
    }
    return render(request, "studio/people/passkeys.html", context)


@sensitive_post_parameters("password")
@never_cache
@require_POST
@login_required
def ask_to_make(request: PersonRequest) -> HttpResponse:
    """What a browser needs to make a passkey, for someone who came in lately or types their password."""
    place, person = place_here(request), request.user
    if place is None:
        return _trouble(NOT_HERE)
    form = NewPasskeyForm(request.POST, person=person, came_in_lately=came_in_lately(request))
    tried = person.get_username(), client_address(request, settings.BEHIND_HTTPS)
    try:
        services.make_room(person)
        if form.asks_password:
            count_try(*tried)
    except services.TooManyPasskeys as enough:
        return _trouble(str(enough))
    except TooManyTries:
        return _trouble(TOO_MANY_TRIES, status=429)
    if not form.is_valid():
        field, words = next(iter(form.errors.items()))
        is_missing = field == "password" and "password" not in request.POST
        return _trouble(COME_IN_AGAIN if is_missing else str(words[0]), field=field)
    if form.asks_password:
        forget_tries(*tried)
    handle = queries.handle_of(person) or ceremony.new_handle()
    challenge = ask(request, TO_MAKE, name=form.cleaned_data["name"], handle=handle, person=str(person.pk))
    options = ceremony.what_to_make(
        place,
        challenge,
        studio=request.preferences.studio_name,
        username=person.get_username(),
        name=str(person),
        handle=handle,
        known=[queries.known(one) for one in queries.passkeys_of(person).filter(site=place.site)],
    )
    return JsonResponse(options)


@never_cache
@require_POST
@login_required
def keep(request: PersonRequest) -> HttpResponse:
    """Keep the passkey a device made."""
    place, before, form = place_here(request), asked(request, TO_MAKE), AnswerForm(request.POST)
    if place is None or before is None or before["person"] != str(request.user.pk):
        return _trouble(NOT_HERE if place is None else TOO_LATE)
    try:
        made = ceremony.made(
            form.data.get("answer", "") if form.is_valid() else "", place, before["challenge"]
        )
        kept = services.keep_passkey(
            request.user, made, name=before["name"], handle=before["handle"], place=place
        )
    except ceremony.NotTrue:
        return _trouble(NOT_MADE)
    except services.TooManyPasskeys as enough:
        return _trouble(str(enough))
    say(request, f"{kept} signs you in from now on.")
    return JsonResponse({"next": reverse("people:passkeys:list")})


@require_http_methods(["GET", "POST"])
@login_required
def rename(request: PersonRequest, pk: int) -> HttpResponse:
    """Call one of one's own passkeys otherwise."""
    passkey = get_object_or_404(queries.passkeys_of(request.user), pk=pk)
    form = NameForm(typed_in(request), instance=passkey)
    if request.method != "POST" or not form.is_valid():
        status = 422 if form.is_bound else 200
        return render(request, "studio/people/passkey.html", {"form": form}, status=status)
    services.rename_passkey(passkey, form.cleaned_data["name"])
    say(request, f"It is called {passkey} now.")
    return redirect("people:passkeys:list")


@require_POST
@login_required
def remove(request: PersonRequest, pk: int) -> HttpResponse:
    """Take one of one's own passkeys away."""
    passkey = get_object_or_404(queries.passkeys_of(request.user), pk=pk)
    note_removed(request, pk, services.remove_passkey(passkey))
    say(
        request,
        f"{passkey} lets nobody in any more. Was the device lost? Then sign out everywhere else, too.",
        undo_url=reverse("people:passkeys:put_back", args=[pk]),
    )
    return redirect("people:passkeys:list")


@require_POST
@login_required
def put_back(request: PersonRequest, pk: int) -> HttpResponse:
    """Let a passkey that was removed in this browser just now sign its person in again."""
    taken = take_removed(request, pk)
    try:
        if taken:
            say(request, f"{services.put_back(request.user, taken)} signs you in again.")
        else:
            messages.error(request, TOO_LATE_TO_PUT_BACK)
    except services.TooManyPasskeys as enough:
        messages.error(request, str(enough))
    except ceremony.NotTrue:
        messages.error(request, "This passkey is here already.")
    return redirect("people:passkeys:list")


# A keeper's


@require_POST
@login_required
@permission_required("studio.change_person", raise_exception=True)
def remove_lost(request: PersonRequest, pk: int, passkey: int) -> HttpResponse:
    """Take a passkey of somebody's away whose phone or computer was lost."""
    lost = get_object_or_404(queries.passkeys_of(get_object_or_404(Person, pk=pk)), pk=passkey)
    person = services.remove_lost_passkey(lost)
    if person == request.user:
        update_session_auth_hash(request, person)
    say(request, f"{lost} lets nobody in any more, and {person} is signed out everywhere.")
    return redirect("people:person", pk)
