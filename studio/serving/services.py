"""Making a studio ready: database, page files, the demo, the keeper's way in, the phones."""

import platform
import socket
from urllib.parse import urlsplit

from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.urls import reverse

from studio.importing.lots import services as lots
from studio.models import Person
from studio.people.services import make_groups_true, make_link
from studio.preferences.services import keep_address_if_none
from studio.queries import preferences_now
from studio.serving.network import LOOPBACK, address_on_network
from studio.serving.noted import port_served
from studio.serving.typed import Prompt
from studio.vocabulary import LinkPurpose


def database_is_behind() -> bool:
    """Whether migrations wait; asking takes a tenth of the time that running none of them does."""
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def bring_database_up_to_date() -> None:
    """Run the migrations that wait, and make the roles what the table says."""
    if database_is_behind():
        call_command("migrate", verbosity=0, interactive=False)
    else:
        make_groups_true()


def clear_away() -> None:
    """Forget sessions that have run out, what an import that died left unseen, what ended processes counted."""
    call_command("clearsessions", verbosity=0)
    lots.strike_out_abandoned()
    if settings.METRICS_KEY:
        for counted in (settings.DATA_DIR / "metrics").glob("*.db"):
            counted.unlink(missing_ok=True)


def gather_page_files() -> None:
    """Put styles, scripts and fonts where the server finds them; files that did not change stay."""
    call_command("collectstatic", verbosity=0, interactive=False)


def is_empty() -> bool:
    """Whether nobody has used this studio yet."""
    return not Person.objects.exists()


def address_here() -> str:
    """The address that opens on this very machine. Behind an HTTPS proxy it is the proxy's, as ours sends there."""
    return preferences_now().address if settings.BEHIND_HTTPS else f"http://{LOOPBACK}:{settings.PORT}"


def addresses_served() -> list[str]:
    """Where the studio that is being served opens: on this very machine, and where phones find it if that is elsewhere.

    A command typed beside it was seldom told its port.
    """
    known = preferences_now()
    port = port_served(settings.DATA_DIR, LOOPBACK)
    if settings.BEHIND_HTTPS or port is None:
        return list(dict.fromkeys((address_here(), known.address)))
    here = f"http://{LOOPBACK}:{port}"
    return [here] if known.address_is_loopback else list(dict.fromkeys((here, known.address)))


def way_in(person: Person) -> str:
    """The path of a one-time link that signs someone in."""
    return reverse("people:come_in", args=[make_link(person, LinkPurpose.SIGN_IN, by=None)])


def open_to_phones(port: int) -> tuple[str, str]:
    """Let phones on the studio's network in: the address they open now, and the one printed codes carry.

    Raises
    ------
    CannotStart : this machine is on no network
    """
    host = address_on_network()
    address = f"http://{host}:{port}"
    allow_hosts(host, socket.gethostname(), f"{socket.gethostname()}.local")
    return address, keep_address_if_none(address)


def allow_hosts(*hosts: str) -> None:
    """Answer under these names too, until the server stops."""
    settings.ALLOWED_HOSTS.extend(host for host in hosts if host and host not in settings.ALLOWED_HOSTS)


def prompt_here() -> Prompt:
    """Where this studio's commands are typed."""
    return Prompt(
        settings.DATA_DIR,
        settings.BASE_DIR / "data",
        on_windows=platform.system() == "Windows",
        needs_database=bool(settings.DATABASE_URL),
    )


def host_of(address: str) -> str:
    """The host in an address."""
    return urlsplit(address).hostname or ""
