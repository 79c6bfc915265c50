#!/usr/bin/env python
"""Tilewright's command line."""

import os
import sys
from pathlib import Path

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.management import execute_from_command_line

from studio.serving.trouble import in_one_line


def main() -> None:
    """Read the settings, which makes the secret key on first use, and run the command."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
    try:
        settings.DATA_DIR  # noqa: B018
    except OSError as trouble:
        place = Path(trouble.filename or "the data folder")
        sys.exit(f"Tilewright cannot start. {in_one_line(trouble, place)}")
    except ValueError as trouble:
        sys.exit(f"Tilewright cannot start. {trouble}")
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    try:
        main()
    except ImproperlyConfigured as trouble:
        sys.exit(f"Tilewright cannot start. {in_one_line(trouble, settings.DATA_DIR)}")
    except KeyboardInterrupt:
        sys.exit(130)
