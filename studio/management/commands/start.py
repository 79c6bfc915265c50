"""Make the studio ready and serve it until Ctrl-C."""

import sys
from argparse import ArgumentParser
from contextlib import nullcontext
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, call_command
from django.core.wsgi import get_wsgi_application
from django.db import DatabaseError, connections

from studio.people.services import LINK_LIVES, first_keeper
from studio.queries import preferences_now
from studio.serving import services, terminal
from studio.serving.memory import give_large_blocks_back
from studio.serving.minder import minded
from studio.serving.network import EVERY_NETWORK, LOOPBACK, claim_port
from studio.serving.noted import port_noted
from studio.serving.trouble import CannotStart, in_one_line
from studio.vocabulary import LinkPurpose

if sys.platform == "win32":
    from studio.serving.threads import serve
else:
    from studio.serving.processes import serve

# What does the work nobody waits for, beside the pages.
WORKER = [sys.executable, str(settings.BASE_DIR / "manage.py"), "worker"]


class Command(BaseCommand):
    help = (
        "Make the studio ready (database, page files, the demo when it is empty) and serve it until Ctrl-C."
    )
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--empty", action="store_true", help="do not load the demo studio")
        parser.add_argument("--phones", action="store_true", help="serve phones on the studio’s network too")

    def handle(self, *, empty: bool, phones: bool, **options: Any) -> None:
        try:
            self.start(empty=empty, phones=phones)
        except KeyboardInterrupt:
            self.say("\nStopped.")
        except (CannotStart, CommandError, DatabaseError, OSError) as trouble:
            if options["traceback"]:
                raise
            sys.exit(f"Tilewright cannot start. {in_one_line(trouble, settings.DATA_DIR)}")

    def start(self, *, empty: bool, phones: bool) -> None:
        """Take the steps in order; each is quick when there is nothing to do."""
        host = EVERY_NETWORK if phones else LOOPBACK
        claim_port(host, settings.PORT)
        self.make_ready(empty=empty)
        here = services.address_here()
        sign_in = here + services.way_in(first_keeper())
        words = terminal.running(f"{here}/", sign_in, LINK_LIVES[LinkPurpose.SIGN_IN])
        if phones:
            words += self.phones_words()
        services.allow_hosts(services.host_of(preferences_now().address))
        give_large_blocks_back()
        pages = get_wsgi_application()
        connections.close_all()
        worker = minded(WORKER) if settings.START_WORKER else nullcontext()
        with port_noted(settings.DATA_DIR, settings.PORT), worker:
            serve(pages, host, settings.PORT, workers=settings.WORKERS, ready=lambda: self.say(words))

    def make_ready(self, *, empty: bool) -> None:
        """Bring database, page files and, in a new studio, the demo into place."""
        settings.PHOTO_DIR.mkdir(parents=True, exist_ok=True)
        if services.database_is_behind():
            self.say("Preparing the database …")
        services.bring_database_up_to_date()
        services.clear_away()
        services.gather_page_files()
        if services.is_empty() and not empty:
            self.say("Loading the demo studio …")
            call_command("demo")

    def phones_words(self) -> str:
        """The address for phones as words and as a code to scan."""
        address, printed = services.open_to_phones(settings.PORT)
        words = f"\n  Phones on this network open {address} or scan:\n\n"
        words += terminal.code_for(address, colours=self.stdout.isatty())
        if printed != address:
            words += f"\n\n  Printed codes carry {printed}; a keeper changes that under Preferences."
        return words + "\n"

    def say(self, words: str) -> None:
        """Print at once, in a terminal and into a file."""
        self.stdout.write(words)
        self.stdout.flush()
