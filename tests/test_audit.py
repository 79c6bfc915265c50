"""The audit of pinned packages never passes on what it could not look up."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.mark.parametrize("pinned", ["requirements-server.txt", "requirements-dev.txt"])
def test_every_pinned_package_is_looked_up_or_the_audit_fails(pinned):
    told = subprocess.run(
        ["make", "--dry-run", "audit"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout
    (line,) = [one for one in told.splitlines() if f"--requirement {pinned}" in one]
    assert "--strict" in line
    assert not re.search(r"\|\||--ignore-vuln|(^|\s)-(?!-)", line)


def test_without_a_network_the_audit_fails(tmp_path):
    few = tmp_path / "few.txt"
    few.write_text(f"idna==3.10 --hash=sha256:{'0' * 64}\n")
    nowhere = dict.fromkeys(("http_proxy", "https_proxy", "HTTP_PROXY", "HTTPS_PROXY"), "http://127.0.0.1:9")
    ended = subprocess.run(
        [
            *(Path(sys.executable).with_name("pip-audit"), "--strict", "--disable-pip"),
            *("--progress-spinner", "off", "--requirement", few),
        ],
        env={"PATH": "/usr/bin:/bin", "HOME": str(tmp_path), **nowhere},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert ended.returncode != 0
    assert "No known vulnerabilities" not in ended.stdout + ended.stderr
