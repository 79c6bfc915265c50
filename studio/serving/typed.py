"""Commands as they can be typed in Tilewright's folder, for the studio that says them and no other."""

import shlex
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Prompt:
    """Where commands are typed: the studio's data folder, the one that is usual, and whether on Windows.

    needs_database : its database has an address to be set; that holds a password, so who types fills it in
    """

    folder: Path
    usual: Path
    on_windows: bool = False
    needs_database: bool = False

    def manage(self, command: str) -> str:
        """A command of `manage.py`, with the folder where that is not the usual one.

        >>> Prompt(Path("/our studio"), Path("/app/data")).manage("doctor")
        "TILEWRIGHT_DATA='/our studio' .venv/bin/python manage.py doctor"
        >>> Prompt(Path("/app/data"), Path("/app/data")).manage("doctor")
        '.venv/bin/python manage.py doctor'
        """
        return self._in_folder(self.bare(command), always=False)

    def bare(self, command: str) -> str:
        """The same without the folder.

        >>> Prompt(Path("/our studio"), Path("/app/data")).bare("doctor")
        '.venv/bin/python manage.py doctor'
        """
        python = r".venv\Scripts\python" if self.on_windows else ".venv/bin/python"
        return f"{python} manage.py {command}"

    @property
    def is_usual(self) -> bool:
        """Whether the folder goes without saying."""
        return self.folder == self.usual

    def start(self) -> str:
        """What starts this studio, its folder always said: without, the usual one opens.

        >>> Prompt(Path("/new"), Path("/app/data")).start()
        'TILEWRIGHT_DATA=/new make start'
        >>> Prompt(Path("/new"), Path("/app/data"), needs_database=True).start()
        'DATABASE_URL=… TILEWRIGHT_DATA=/new make start'
        """
        return self._in_folder(
            r".venv\Scripts\python manage.py start" if self.on_windows else "make start", always=True
        )

    def _in_folder(self, command: str, *, always: bool) -> str:
        named = {"DATABASE_URL": "…"} if self.needs_database else {}
        if always or not self.is_usual:
            named["TILEWRIGHT_DATA"] = str(self.folder)
        if self.on_windows:
            return "; ".join([*(f'$env:{name} = "{value}"' for name, value in named.items()), command])
        return " ".join([*(f"{name}={_in_shell(value)}" for name, value in named.items()), command])


def _in_shell(value: str) -> str:
    return value if value == "…" else shlex.quote(value)
