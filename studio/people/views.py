"""Signing in and out, one's own account, and the keeper's list of people."""

from datetime import timedelta
from typing import cast

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate, logout, update_session_auth_hash
from django.contrib.auth.decorators import login_required, permission_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from firings.http import StudioRequest, say, typed_in
from firings.models import ChangedMeanwhile
from firings.preferences import Preferences
from studio.http import PersonRequest, client_address, is_from_this_machine
from studio.models import Person, SignInLink
from studio.people import services
from studio.people.code import code_svg
from studio.people.forms import (
    AcceptInvitationForm,
    AccountForm,
    AddPersonForm,
    ChangePasswordForm,
    ForgottenForm,
    PasswordForm,
    PersonForm,
    SignInForm,
)
from studio.people.http import (
    BY_LINK,
    TOO_MANY_TRIES,
    after_sign_in,
    comes_from_a_label,
    let_in,
    sealed,
    unsealed,
)
from studio.people.passkeys.http import where
from studio.people.passkeys.queries import any_lets_in, passkeys_of
from studio.people.queries import may_come_in_without_password, open_link, open_links, role_of
from studio.people.tasks import mail_new_password_link
from studio.people.tokens import new_token
from studio.roles import Role
from studio.vocabulary import LinkPurpose, Theme

NO_KEEPER_LEFT = "The studio needs a keeper who can sign in. Make someone else keeper first."

# Light or dark is a choice of this browser, not of the person: the phone at the kiln and the desk differ.
THEME_COOKIE = "theme"

# Forms that made a link, by the mark each page gave its own, so that none makes two.
FORMS_THAT_CAME = "forms_that_came"
FORMS_REMEMBERED = 20


@sensitive_post_parameters("password")
@never_cache
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Let someone in by sign-in name and password."""
    form = SignInForm(typed_in(request))
    if request.method == "GET":
        return redirect(after_sign_in(request)) if request.user.is_authenticated else _door(request, form)
    if not form.is_valid():
        return _door(request, form, status=422)
    username, address = form.cleaned_data["username"], client_address(request, settings.BEHIND_HTTPS)
    try:
        services.count_try(username, address)
    except services.TooManyTries:
        form.add_error(None, TOO_MANY_TRIES)
        return _door(request, form, status=429)
    person = authenticate(request, username=username, password=form.cleaned_data["password"])
    if person is None:
        form.add_error(
            None, "This name and password do not go together. Try again, or ask the studio’s keeper."
        )
        return _door(request, form, status=422)
    services.forget_tries(username, address)
    let_in(request, person)
    return redirect(after_sign_in(request))


def _door(request: HttpRequest, form: SignInForm, status: int = 200) -> HttpResponse:
    context = {
        "form": form,
        "next": request.POST.get("next", request.GET.get("next", "")),
        "comes_from_a_label": comes_from_a_label(request),
        "mail_is_on": settings.MAIL_IS_ON,
        **where(request),
        "someone_has_a_passkey": any_lets_in(),
        "people_here": may_come_in_without_password() if _needs_no_password(request) else [],
    }
    return render(request, "studio/people/sign_in.html", context, status=status)


def _needs_no_password(request: HttpRequest) -> bool:
    """Whether this request comes from the studio's own machine, in a studio that chose to ask for no passwords."""
    return settings.WITHOUT_PASSWORDS and not settings.BEHIND_HTTPS and is_from_this_machine(request)


@require_POST
def come_in_here(request: HttpRequest) -> HttpResponse:
    """Let the one who sits at the studio's own machine in as whom they say, where the studio chose that."""
    if not _needs_no_password(request):
        raise PermissionDenied
    wanted = request.POST.get("person", "")
    person = next((one for one in may_come_in_without_password() if str(one.pk) == wanted), None)
    if person is None:
        return redirect("people:sign_in")
    # Anybody may sit there, so this shows nothing.
    let_in(request, person, backend=BY_LINK, has_shown=False)
    return redirect(after_sign_in(request))


@never_cache
@require_http_methods(["GET", "POST"])
def forgotten(request: HttpRequest) -> HttpResponse:
    """Mail a link to a new password. The answer is the same whoever is meant, or nobody."""
    if not settings.MAIL_IS_ON:
        raise Http404("This studio sends no mail.")
    form = ForgottenForm(typed_in(request))
    if request.method != "POST" or not form.is_valid():
        return render(request, "studio/people/forgotten.html", {"form": form}, status=_status(form.is_bound))
    said = form.cleaned_data["said"]
    try:
        services.count_try(f"forgotten {said}", client_address(request, settings.BEHIND_HTTPS))
    except services.TooManyTries:
        form.add_error(None, "Too many tries. Wait 15 minutes, or ask the studio’s keeper for a link.")
        return render(request, "studio/people/forgotten.html", {"form": form}, status=429)
    mail_new_password_link.enqueue(said, _address_for_links(cast(StudioRequest, request)))
    return render(request, "studio/people/forgotten.html", {"is_sent": True})


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End this browser's session."""
    logout(request)
    return redirect("people:sign_in")


@sensitive_post_parameters("password", "again")
@never_cache
@require_http_methods(["GET", "POST"])
def come_in(request: HttpRequest, token: str) -> HttpResponse:
    """Open a one-time link. Only the button uses it up, so a preview of the link in a chat does not."""
    link = open_link(token)
    if link is None:
        return render(request, "studio/people/closed_link.html", status=410)
    try:
        return DOORS[LinkPurpose(link.purpose)](request, link)
    except services.LinkIsClosed:
        return render(request, "studio/people/closed_link.html", status=410)


def _sign_in_by_link(request: HttpRequest, link: SignInLink) -> HttpResponse:
    if request.method != "POST":
        return render(request, "studio/people/come_in.html", {"link": link})
    services.use_link(link)
    return _welcome(request, link.person)


def _accept_invitation(request: HttpRequest, link: SignInLink) -> HttpResponse:
    suggested = {"name": link.person.name, "username": link.person.username}
    form = AcceptInvitationForm(typed_in(request), person=link.person, initial=suggested)
    if request.method != "POST" or not form.is_valid():
        return _password_page(request, link, form)
    kept = form.cleaned_data
    person = services.accept_invitation(
        link, name=kept["name"], username=kept["username"], password=kept["password"]
    )
    return _welcome(request, person)


def _choose_password(request: HttpRequest, link: SignInLink) -> HttpResponse:
    form = PasswordForm(typed_in(request), person=link.person)
    if request.method != "POST" or not form.is_valid():
        return _password_page(request, link, form)
    return _welcome(request, services.choose_password_by_link(link, form.cleaned_data["password"]))


DOORS = {
    LinkPurpose.SIGN_IN: _sign_in_by_link,
    LinkPurpose.INVITATION: _accept_invitation,
    LinkPurpose.NEW_PASSWORD: _choose_password,
}


def _password_page(request: HttpRequest, link: SignInLink, form: PasswordForm) -> HttpResponse:
    status = 422 if form.is_bound else 200
    return render(request, "studio/people/choose_password.html", {"link": link, "form": form}, status=status)


def _welcome(request: HttpRequest, person: Person) -> HttpResponse:
    let_in(request, person, backend=BY_LINK)
    return redirect(settings.LOGIN_REDIRECT_URL)


@login_required
@require_http_methods(["GET", "POST"])
def account(request: PersonRequest) -> HttpResponse:
    """A person's own name, and whether this browser shows our pages light or dark."""
    shown = {"theme": request.COOKIES.get(THEME_COOKIE, Theme.DEVICE.value)}
    form = AccountForm(typed_in(request), instance=Person.objects.get(pk=request.user.pk), initial=shown)
    if request.method == "POST" and form.is_valid():
        form.save()
        say(request, "Your account is changed.")
        return _with_theme(redirect("people:account"), form.cleaned_data["theme"])
    context = {"form": form, "passkeys": passkeys_of(request.user)}
    return render(request, "studio/people/account.html", context, status=_status(form.is_bound))


def _with_theme(answer: HttpResponse, theme: str) -> HttpResponse:
    """Let this browser keep the choice; "as my device" is the absence of one."""
    answer.delete_cookie(THEME_COOKIE)
    if theme != Theme.DEVICE:
        answer.set_cookie(
            THEME_COOKIE, theme, max_age=timedelta(days=365), samesite="Lax", secure=settings.BEHIND_HTTPS
        )
    return answer


@sensitive_post_parameters("current", "password", "again")
@login_required
@require_http_methods(["GET", "POST"])
def password(request: PersonRequest) -> HttpResponse:
    """A person's own password; other browsers where they are signed in are signed out."""
    form = ChangePasswordForm(typed_in(request), person=request.user)
    if request.method == "POST" and form.is_valid():
        update_session_auth_hash(
            request, services.choose_password(request.user, form.cleaned_data["password"])
        )
        say(request, "Your new password is kept.")
        return redirect("people:account")
    return render(request, "studio/people/password.html", {"form": form}, status=_status(form.is_bound))


@require_POST
@login_required
def sign_out_elsewhere(request: PersonRequest) -> HttpResponse:
    """End a person's sessions on all other browsers: a phone that was lost, a computer of somebody else's."""
    services.sign_out_elsewhere(request.user)
    update_session_auth_hash(request, request.user)
    say(request, "Every other browser is signed out.")
    return redirect("people:account")


def _status(refused: bool) -> int:
    return 422 if refused else 200


@require_safe
@login_required
@permission_required("studio.view_person", raise_exception=True)
def people(request: PersonRequest) -> HttpResponse:
    """Everyone of the studio, with what they may do."""
    everyone = Person.objects.by_name().prefetch_related("groups")
    rows = [(person, role_of(person)) for person in everyone]
    return render(request, "studio/people/people.html", {"rows": rows, "links": open_links()})


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("studio.add_person", raise_exception=True)
def add(request: PersonRequest) -> HttpResponse:
    """Add someone and show the invitation link to hand over."""
    form = AddPersonForm(typed_in(request))
    if request.method != "POST" or not form.is_valid():
        context = {"form": form, "once": new_token()}
        return render(request, "studio/people/add.html", context, status=_status(form.is_bound))
    if _came_before(request):
        return _link_was_shown(request, "people:list")
    person = services.add_person(form.cleaned_data["name"], form.cleaned_data["role"])
    return _show_link(request, person, LinkPurpose.INVITATION)


@require_http_methods(["GET", "POST"])
@login_required
@permission_required("studio.change_person", raise_exception=True)
def person(request: PersonRequest, pk: int) -> HttpResponse:
    """Change what someone may do."""
    who = get_object_or_404(Person, pk=pk)
    shown = {"name": who.name, "role": role_of(who) or Role.VIEWER, "may_sign_in": who.is_active}
    form = PersonForm(typed_in(request), initial=shown)
    if request.method == "POST" and form.is_valid():
        stood = services.standing_of(who)
        try:
            services.change_person(who, **form.cleaned_data)
            say(request, f"{who} is changed.", undo_url=_undo_url(who, stood))
            return redirect("people:list")
        except services.NoKeeperLeft:
            form.add_error(None, NO_KEEPER_LEFT)
    context = {"person": who, "form": form, "once": new_token(), "passkeys": passkeys_of(who)}
    return render(request, "studio/people/person.html", context, status=_status(form.is_bound))


def _undo_url(who: Person, stood: services.Standing) -> str:
    """Where a change to someone is undone. People have no history, so the address says, sealed, how they stood."""
    return reverse("people:undo", args=[who.pk, sealed(stood, services.standing_of(who))])


@require_POST
@login_required
@permission_required("studio.change_person", raise_exception=True)
def undo(request: PersonRequest, pk: int, token: str) -> HttpResponse:
    """Take the last change to someone back; that itself is undone from the message."""
    who = get_object_or_404(Person, pk=pk)
    try:
        stood, left = unsealed(token)
        services.put_person_back(who, stood, left)
    except ValueError:
        raise Http404("This address undoes nothing.") from None
    except ChangedMeanwhile:
        messages.error(request, f"{who} was changed again since. Nothing was put back.")
    except services.NoKeeperLeft:
        messages.error(request, NO_KEEPER_LEFT)
    else:
        who.refresh_from_db()
        say(request, f"{who} stands as before.", undo_url=_undo_url(who, left))
    return redirect("people:list")


@require_POST
@login_required
@permission_required("studio.change_person", raise_exception=True)
def link(request: PersonRequest, pk: int) -> HttpResponse:
    """Make a link by which someone chooses a password: their first, or a new one."""
    who = get_object_or_404(Person, pk=pk, is_active=True)
    if _came_before(request):
        return _link_was_shown(request, "people:person", pk)
    came_in_before = who.has_usable_password()
    return _show_link(request, who, LinkPurpose.NEW_PASSWORD if came_in_before else LinkPurpose.INVITATION)


@require_POST
@login_required
@permission_required("studio.change_person", raise_exception=True)
def withdraw_link(request: PersonRequest, pk: int) -> HttpResponse:
    """Close a link that somebody was handed and has not used."""
    withdrawn = get_object_or_404(SignInLink.objects.select_related("person"), pk=pk)
    try:
        services.withdraw_link(withdrawn)
    except services.LinkIsClosed:
        messages.error(request, f"{withdrawn.person} came in by this link already.")
    else:
        say(
            request,
            f"The link for {withdrawn.person} opens nothing any more. Another is made on their page.",
        )
    return redirect("people:list")


def _came_before(request: PersonRequest) -> bool:
    """Whether this very form came before: a page with a link on it that is loaded anew sends its form again."""
    once, before = request.POST.get("once", ""), request.session.get(FORMS_THAT_CAME, [])
    if once in before:
        return True
    if once:
        request.session[FORMS_THAT_CAME] = [*before, once][-FORMS_REMEMBERED:]
    return False


def _link_was_shown(request: PersonRequest, back: str, *args: int) -> HttpResponse:
    say(
        request,
        "The link was shown once, and no other was made. If it is lost, make another on the person’s page.",
    )
    return redirect(back, *args)


def _show_link(request: PersonRequest, person: Person, purpose: LinkPurpose) -> HttpResponse:
    """Show a new link once: it is kept nowhere, so the page can't be opened again."""
    token = services.make_link(person, purpose, by=request.user)
    address = _address_for_links(request)
    url = address + reverse("people:come_in", args=[token])
    context = {
        "person": person,
        "url": url,
        "code": mark_safe(code_svg(url, "The link as a QR code")),  # nosec B308, B703 # our own drawing; it escapes its title
        "days": services.LINK_LIVES[purpose].days,
        "opens_here_only": Preferences(address=address).address_is_loopback,
    }
    return render(request, "studio/people/link.html", context)


def _address_for_links(request: StudioRequest) -> str:
    """The studio's address, or, while that opens on no other machine, the one this page was opened by."""
    if request.preferences.address_is_loopback:
        return request.build_absolute_uri("/").rstrip("/")
    return request.preferences.address
