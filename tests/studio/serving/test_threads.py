"""Serving where the system cannot fork."""

import signal
import socket
import subprocess
import sys
import urllib.request

PROGRAM = """
import sys
from studio.serving.threads import serve

def pages(environ, start_response):
    start_response("200 OK", [("Content-Type", "text/plain")])
    return [b"glazed"]

serve(pages, "127.0.0.1", int(sys.argv[1]), workers=1, ready=lambda: print("ready", flush=True))
print("stopped", flush=True)
"""


def test_threads_serve_until_ctrl_c():
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
    job = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, str(port)],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    assert job.stdout.readline() == "ready\n"
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=10) as answer:
        served = answer.read()
    job.send_signal(signal.SIGINT)
    printed, _ = job.communicate(timeout=20)

    assert served == b"glazed"
    assert (job.returncode, printed) == (0, "stopped\n")
