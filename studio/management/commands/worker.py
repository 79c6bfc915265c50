"""Do what nobody waits for: look at photos, make renditions, empty the bin."""

import os
import signal
import socket
import sys
import threading
import time
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand
from django.db import DatabaseError, close_old_connections, connection
from django.utils.crypto import get_random_string
from django_tasks_db.management.commands.db_worker import Worker
from django_tasks_db.models import DBTaskResult
from django_tasks_db.utils import exclusive_transaction

from studio.importing.lots import services as lots
from studio.serving.memory import give_large_blocks_back
from studio.serving.trouble import in_one_line
from studio.work import services
from studio.work.patience import BEAT_EVERY_S, LOOK_AFTER_EVERY_S, LOOK_EVERY_S
from studio.work.tasks import EVERY_DAY


class StudioWorker(Worker):
    """The library's worker, that also says it lives, takes up what dead ones left, and tries again what failed."""

    def __init__(self, name: str = "", *, batch: bool = False) -> None:
        super().__init__(
            queue_names=["*"],
            interval=LOOK_EVERY_S,
            batch=batch,
            backend_name="default",
            startup_delay=False,
            max_tasks=None,
            worker_id=name or get_random_string(32),
            excluded_queue_names=[],
        )
        self.place = f"process {os.getpid()} on {socket.gethostname()}"[:120]
        self.looked_after_at = -LOOK_AFTER_EVERY_S

    def run(self) -> None:
        """Work until told to stop; in a batch, until nothing is left that can be done now."""
        give_large_blocks_back()
        services.say_hello(self.worker_id, self.place)
        still = threading.Event()
        heart = threading.Thread(target=self.beat, args=[still], daemon=True)
        heart.start()
        try:
            while self.running and (self.work_once() or not self.batch):
                pass
        finally:
            still.set()
            heart.join()
            services.say_goodbye(self.worker_id)

    def work_once(self) -> bool:
        """Do one piece of work if there is any; else look after the others' and rest. Whether there was any."""
        try:
            close_old_connections()
            self.look_after_work()
            work = self.claim()
            if work is not None:
                self.run_task(work)
                return True
        except DatabaseError as trouble:
            # It was away or locked, and is asked again: a worker that ends would only be started anew.
            sys.stderr.write(f"The database did not answer: {trouble}\n")
            connection.close()
        if self.running and not self.batch:
            time.sleep(self.interval)
        return False

    def look_after_work(self) -> None:
        """Every few seconds: give back what dead workers left, plan what is due."""
        if time.monotonic() - self.looked_after_at >= LOOK_AFTER_EVERY_S:
            self.looked_after_at = time.monotonic()
            services.take_up_what_was_left(idle=self.worker_id)
            services.plan_what_is_due(EVERY_DAY)

    def claim(self) -> DBTaskResult | None:
        """Take the next piece of work for this worker alone. Asked first without a lock: mostly there is none."""
        ready = DBTaskResult.objects.ready().filter(backend_name=self.backend_name)
        if not ready.exists():
            return None
        with exclusive_transaction(ready.db):
            work = ready.get_locked()
            if work is not None:
                work.claim(self.worker_id)
        return work

    def run_task(self, db_task_result: DBTaskResult) -> None:
        """Do a piece of work; one that failed is put back to be tried later, a bounded number of times."""
        super().run_task(db_task_result)
        services.try_again_later(db_task_result)

    def beat(self, still: threading.Event) -> None:
        """Say every few seconds that this worker lives; a database that is away does not end it."""
        while not still.wait(BEAT_EVERY_S):
            try:
                close_old_connections()
                services.say_alive(self.worker_id, self.place)
            except DatabaseError:
                connection.close()
        connection.close()

    def shutdown(self, signum: int, frame: Any) -> None:
        """Finish what is being done, then stop. Said twice, it stops at once; another worker takes the work up."""
        if not self.running:
            os._exit(1)
        self.running = False


class Command(BaseCommand):
    help = (
        "Do what nobody waits for (look at photos, empty the bin) until Ctrl-C. `start` keeps one by itself."
    )
    # They read every page there is, which a worker never serves: 40 MB, for as long as it lives.
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--once", action="store_true", help="do what waits now, then end")
        parser.add_argument("--name", default="", help="a name no other worker has")
        parser.add_argument("--instead-of", default="", help="the name of a worker that is known to be dead")
        parser.add_argument("--minded", action="store_true", help="end when standard input is closed")

    def handle(self, *, once: bool, name: str, instead_of: str, minded: bool, **options: Any) -> None:
        worker = StudioWorker(name, batch=once)
        worker.configure_signals()
        if minded:
            threading.Thread(target=end_with_input, daemon=True).start()
        try:
            if instead_of:
                services.say_goodbye(instead_of)
            lots.strike_out_abandoned()
            worker.run()
        except DatabaseError as trouble:
            if options["traceback"]:
                raise
            sys.exit(f"The worker cannot start. {in_one_line(trouble, settings.DATA_DIR)}")


def end_with_input() -> None:
    """Stop this process, work finished, once whoever minds it lets go of its input, living or dead."""
    sys.stdin.buffer.read()
    os.kill(os.getpid(), signal.SIGTERM)
