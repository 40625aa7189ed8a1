"""Start the Healed Colour Almanac: python3 scripts/run.py [--demo] [--port N] [--data DIR] [--no-browser].

Needs nothing but Python: the first start makes .venv and installs the packages, later ones start right away.
"""

import argparse
import errno
import http.client
import os
import signal
import socket
import subprocess
import sys
import threading
import time
import webbrowser
from pathlib import Path

import environment
from environment import PlainError, complain, say

HOST = "127.0.0.1"
DEFAULT_PORT = 4950
HIGHEST_PORT = 65535
PORTS_TO_TRY = 50
POLL_SECONDS = 0.05
PATIENCE_SECONDS = 20.0
GRACE_SECONDS = 10.0
# On Windows, Ctrl-C does not get through to an endless wait; elsewhere an endless wait costs nothing.
WAIT_SECONDS = 0.5 if os.name == "nt" else None


def parse(arguments: "list[str]") -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(prog="run.py", description="Start the Healed Colour Almanac.")
    add = parser.add_argument
    add("--demo", action="store_true", help="open the invented demo studio, apart from your own data")
    add("--port", type=port_number, default=DEFAULT_PORT, metavar="N", help="port to listen on (%(default)s)")
    add("--data", type=Path, metavar="DIR", help="folder in which the records and photos are kept")
    add("--no-browser", action="store_true", help="print the address without opening a browser")
    return parser.parse_args(arguments)


def port_number(text: str) -> int:
    """Read a port number."""
    try:
        number = int(text)
    except ValueError:
        number = 0
    if not 1 <= number <= HIGHEST_PORT:
        raise argparse.ArgumentTypeError(f"'{text}' is no port; give a whole number from 1 to {HIGHEST_PORT}")
    return number


def main(arguments: "list[str]", root: Path = environment.ROOT) -> int:
    """Do everything; give the exit code."""
    problem = environment.old_python(sys.version_info[:3])
    if problem:
        complain(problem)
        return 1
    environment.forgiving_output()
    options = parse(arguments)
    listen_to_signals()
    try:
        return start(options, root)
    except PlainError as error:
        complain(str(error))
        return 1
    except KeyboardInterrupt:
        complain("\nStopped before the almanac was up. The next start takes up where this one ended.")
        return 130


def listen_to_signals() -> None:
    """Treat a closed terminal or a polite kill like Ctrl-C, so that the app never stays behind alone."""
    for name in ("SIGTERM", "SIGHUP", "SIGBREAK"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, signal.default_int_handler)


def start(options: argparse.Namespace, root: Path) -> int:
    """Check what can be checked at once, install what is missing, then run the app until it ends."""
    check_port(options.port)
    data = options.data
    if data is not None:
        data = Path(os.path.abspath(str(data.expanduser())))
        remedy = "Choose another folder, for example: --data almanac-data"
        environment.check_folder(data, "the data folder", remedy)
    python = environment.prepare(root)
    check_port(options.port)
    return serve(command_line(python, options, data), options, root)


def command_line(python: Path, options: argparse.Namespace, data: "Path | None") -> "list[str]":
    """Put together the command that runs the app."""
    command = [str(python), "-m", "webapp", "serve", "--port", str(options.port)]
    if options.demo:
        command.append("--demo")
    if data is not None:
        command += ["--data", str(data)]
    return command


# --- the port -----------------------------------------------------------------------------------------------


def check_port(port: int) -> None:
    """Stop with a sentence if this machine does not let the app listen there."""
    error = bind_error(port)
    if error is None:
        return
    other = free_port(port)
    remedy = f"Start again with another one: --port {other}" if other else "Start again with another --port."
    if error.errno != errno.EADDRINUSE:
        reason = "ports below 1024 are for administrators" if port < 1024 else error.strerror or str(error)
        raise PlainError(f"Port {port} may not be used on this machine: {reason}.\n{remedy}")
    if says_ok(port):
        remedy = f"Perhaps the almanac is already running: open {address(port)}\n{remedy}"
    raise PlainError(f"Port {port} is taken: another program is listening there.\n{remedy}")


def bind_error(port: int) -> "OSError | None":
    """Try to listen; give the error, or None if the port is free."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        if sys.platform == "win32":
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:  # else a port stays taken for a minute after the app has ended
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
            probe.listen(1)
        except OSError as error:
            return error
    return None


def free_port(taken: int) -> "int | None":
    """Find a free port near the taken one."""
    first = max(taken + 1, 1024)
    for port in range(first, min(first + PORTS_TO_TRY, HIGHEST_PORT + 1)):
        if bind_error(port) is None:
            return port
    return DEFAULT_PORT if bind_error(DEFAULT_PORT) is None else None


def address(port: int) -> str:
    """Give the address to open in a browser."""
    return f"http://{HOST}:{port}/"


def says_ok(port: int) -> bool:
    """Ask the app whether it is up."""
    connection = http.client.HTTPConnection(HOST, port, timeout=2)
    try:
        connection.request("GET", "/health")
        answer = connection.getresponse()
        return answer.status == 200 and answer.read(100).strip(b' "\r\n') == b"ok"
    except (OSError, http.client.HTTPException):
        return False
    finally:
        connection.close()


# --- the app ------------------------------------------------------------------------------------------------


def serve(command: "list[str]", options: argparse.Namespace, root: Path) -> int:
    """Run the app as a child, show it when it is up, and end it when asked; give its exit code."""
    say("Starting the almanac …")
    child = start_apart(command, root)
    try:
        code = wait_until_up(child, options.port)
        if code is not None:
            raise PlainError(f"The almanac ended before it was up (code {code}). What it said stands above.")
        say(f"The almanac is open at {address(options.port)}   (Ctrl-C ends it)")
        if not options.no_browser:
            open_browser(address(options.port))
        return passed_on(wait(child))
    except KeyboardInterrupt:
        say("\nEnding the almanac …")
        code = end(child)
        return code if code > 0 and os.name != "nt" else 0
    finally:
        end(child)


def start_apart(command: "list[str]", root: Path) -> "subprocess.Popen[bytes]":
    """Start the app in a group of its own: Ctrl-C then reaches only this process, which ends it in order."""
    surroundings = environment.child_surroundings()
    if sys.platform == "win32":
        group = subprocess.CREATE_NEW_PROCESS_GROUP
        return subprocess.Popen(command, cwd=str(root), env=surroundings, creationflags=group)
    else:  # noqa: RET505 - mypy follows only one of the two
        return subprocess.Popen(command, cwd=str(root), env=surroundings, start_new_session=True)


def wait_until_up(child: "subprocess.Popen[bytes]", port: int) -> "int | None":
    """Return None once the app answers, or its exit code if it ended before."""
    patient_until = time.monotonic() + PATIENCE_SECONDS
    told = False
    while child.poll() is None:
        if says_ok(port):
            return None
        if not told and time.monotonic() > patient_until:
            say("It takes longer than usual; still waiting (Ctrl-C ends it) …")
            told = True
        time.sleep(POLL_SECONDS)
    return child.returncode


def wait(child: "subprocess.Popen[bytes]") -> int:
    """Wait for the app to end by itself."""
    while True:
        try:
            return child.wait(WAIT_SECONDS)
        except subprocess.TimeoutExpired:
            continue


def end(child: "subprocess.Popen[bytes]") -> int:
    """Ask the app to end, and make it end if it does not or if the user presses Ctrl-C once more."""
    if child.poll() is not None:
        return child.returncode
    if sys.platform == "win32":
        child.send_signal(signal.CTRL_BREAK_EVENT)
    else:
        child.terminate()
    try:
        return child.wait(GRACE_SECONDS)
    except (subprocess.TimeoutExpired, KeyboardInterrupt):
        child.kill()
        return child.wait()


def passed_on(code: int) -> int:
    """Turn the app's end by a signal, which Python counts below zero, into the exit code shells use."""
    return 128 - code if code < 0 else code


def open_browser(url: str) -> None:
    """Open the address where there is a screen; a browser that fails or blocks must not stop the app."""
    desktop = sys.platform in ("win32", "darwin") or any(
        os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER")
    )
    if desktop:
        threading.Thread(target=_open_quietly, args=(url,), daemon=True).start()


def _open_quietly(url: str) -> None:
    try:
        opened = webbrowser.open(url)
    except (OSError, webbrowser.Error):
        opened = False
    if not opened:
        say("No browser could be opened; please open the address yourself.")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
