"""The project's own Python environment: made in .venv, filled, and kept, with the standard library alone.

run.py and test.py share it. All three must load under an old Python 3, so that they can say what is missing
instead of failing: annotations that a newer Python is needed for are quoted, and tomllib is imported late.

The stamp file in .venv says in which state it is: "unfinished" from before the first step until after the last
one, then one digest for every set of packages that is completely there. So an installation that was cut off is
made anew at the next start, and one that is complete needs neither pip nor the network.
"""

import collections
import errno
import hashlib
import importlib.util
import io
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
LOWEST_PYTHON = (3, 11)
CONSTRAINTS = "scripts/constraints.txt"
STAMP = "almanac-installed.txt"
UNFINISHED = "unfinished"
KEPT_LINES = 60
SHOWN_LINES = 8
ROOM_FOR_VENV = 50_000_000  # bytes; an empty one with pip in it takes half of that

DISK_FULL = ("no space left on device", "not enough space on the disk", "disk quota exceeded", "errno 28")
NOT_ALLOWED = ("permission denied", "access is denied", "read-only file system")
NO_SUCH_PACKAGE = (
    "no matching distribution found",
    "could not find a version that satisfies",
    "resolutionimpossible",  # so it calls a version that scripts/constraints.txt names and the index lacks
)
NO_NETWORK = (
    "failed to establish a new connection",
    "newconnectionerror",
    "connection refused",
    "connection reset",
    "connection aborted",
    "connection timed out",
    "connecttimeout",
    "timed out",
    "max retries exceeded",
    "name or service not known",
    "name resolution",
    "getaddrinfo failed",
    "nodename nor servname",
    "network is unreachable",
    "no route to host",
    "proxyerror",
    "cannot connect to proxy",
    "sslerror",
    "certificate verify failed",
    "certificate_verify_failed",
    "failed to connect",
    "http error",
    "incompleteread",
    "remotedisconnected",
)


class PlainError(Exception):
    """A reason to stop, told in sentences that a person can act on."""


# --- what is wrong, in sentences ----------------------------------------------------------------------------


def old_python(version: "tuple[int, ...]") -> "str | None":
    """Say what to do when this Python is too old; None when it is new enough."""
    if tuple(version[:2]) >= LOWEST_PYTHON:
        return None
    return (
        "The Healed Colour Almanac needs Python {}.{} or newer, and this is Python {}.\n"
        "Install a newer Python, then start again with it, for example: python3.12 {}".format(
            LOWEST_PYTHON[0], LOWEST_PYTHON[1], ".".join(str(part) for part in version[:3]), sys.argv[0]
        )
    )


def folder_problem(error: OSError, folder: Path, purpose: str, remedy: str) -> str:
    """Say why a folder cannot be used, and what to do about it."""
    if error.errno in (errno.ENOSPC, getattr(errno, "EDQUOT", None)):
        return f"The disk is full: nothing fits into {folder}, {purpose}.\nFree some space, then start again."
    if error.errno in (errno.EEXIST, errno.ENOTDIR):
        return f"{folder}, {purpose}, is no folder: it, or a part of its path, is a file.\n{remedy}"
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return f"{folder}, {purpose}, cannot be written to: it is protected, or someone else's.\n{remedy}"
    return f"{folder}, {purpose}, cannot be used: {error.strerror or error}.\n{remedy}"


def pip_problem(lines: "list[str]", python: str) -> str:
    """Say why pip failed, as far as its last lines tell. They stand on the screen already, right above."""
    text = "\n".join(lines).lower()
    return _pip_reason(text, python) + "\nWhat pip itself said stands above."


def _pip_reason(text: str, python: str) -> str:
    if any(sign in text for sign in DISK_FULL):
        return (
            "The disk is full: the packages could not be installed.\n"
            "Free about 1 GB where this project lies, and in the folder for temporary files; then start again."
        )
    if any(sign in text for sign in NOT_ALLOWED):
        return (
            "The packages could not be installed: a file or folder cannot be written to.\n"
            "Copy the project into a folder of your own, and start it from there."
        )
    if _network_failed(text):
        return (
            "The packages could not be fetched: the package index could not be reached.\n"
            "Check the internet connection (or the proxy, or pip's own settings), then start again.\n"
            "It is needed for the installation only."
        )
    if any(sign in text for sign in NO_SUCH_PACKAGE):
        return (
            "The packages could not be installed: "
            f"not all exist ready-made for Python {python} on this system.\n"
            "Start again with another Python (3.11 to 3.13 fit most systems), or on a newer system."
        )
    return "The packages could not be installed: pip failed.\nStart again; if it fails once more, go by its own words."


def _network_failed(text: str) -> bool:
    """Tell a package index out of reach from one that answered and lacks something."""
    answered = any("(from versions:" in line and "(from versions: none)" not in line for line in text.splitlines())
    return not answered and any(sign in text for sign in NO_NETWORK)


def ensurepip_problem() -> str:
    """Say how to get the parts of Python that some systems package separately."""
    name = "python{}.{}-venv".format(*sys.version_info[:2])
    return (
        "This Python cannot make an environment of its own: its venv or ensurepip module is missing.\n"
        f"On Debian or Ubuntu, run: sudo apt install python3-venv   (or {name})\n"
        "Elsewhere, install Python from its own installer, which brings both. Then start again."
    )


# --- small helpers ------------------------------------------------------------------------------------------


def forgiving_output() -> None:
    """Never fail on a sign that the console cannot show."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def say(text: str) -> None:
    """Print at once, also into a pipe."""
    print(text, flush=True)


def complain(text: str) -> None:
    """Print a problem where problems belong."""
    sys.stdout.flush()
    print(text, file=sys.stderr, flush=True)


def check_folder(folder: Path, purpose: str, remedy: str) -> None:
    """Make the folder if it is missing and write a small file there, to know now whether that works."""
    probe = folder / f".probe-{os.getpid()}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        try:
            probe.write_bytes(b"\0" * 4096)
        finally:
            if probe.exists():
                probe.unlink()
    except OSError as error:
        raise PlainError(folder_problem(error, folder, purpose, remedy)) from error


def child_surroundings() -> "dict[str, str]":
    """Give this process's environment variables, without those that would lead a child out of .venv."""
    kept = {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "PYTHONHOME")}
    kept.pop("PYTHONSAFEPATH", None)
    kept["PIP_USER"] = "0"
    kept["PYTHONUTF8"] = "1"  # one encoding for what children print, whatever the system prefers
    return kept


# --- what is wanted, what is there --------------------------------------------------------------------------


def requirements(root: Path, extras: "tuple[str, ...]" = ()) -> "list[str]":
    """Read the packages that pyproject.toml asks for, with those of the named extras."""
    import tomllib

    try:
        with (root / "pyproject.toml").open("rb") as file:
            project = tomllib.load(file)["project"]
        wanted = list(project["dependencies"])
        for extra in extras:
            wanted += project["optional-dependencies"][extra]
    except FileNotFoundError as error:
        raise PlainError(_incomplete("pyproject.toml is missing")) from error
    except (tomllib.TOMLDecodeError, KeyError) as error:
        raise PlainError(_incomplete(f"pyproject.toml cannot be understood ({error})")) from error
    return wanted


def _incomplete(what: str) -> str:
    return f"This copy of the project is incomplete: {what}.\nFetch the project anew, then start again."


def digest(root: Path, extras: "tuple[str, ...]", python: str) -> str:
    """Boil down all that decides what gets installed: Python's version, the packages, the exact versions."""
    try:
        constraints = (root / CONSTRAINTS).read_text(encoding="utf-8")
    except FileNotFoundError as error:
        raise PlainError(_incomplete(f"{CONSTRAINTS} is missing")) from error
    everything = json.dumps([python, sorted(requirements(root, extras)), constraints.splitlines()])
    return hashlib.sha256(everything.encode("utf-8")).hexdigest()


def venv_python(root: Path) -> Path:
    """Give the place of the environment's own Python."""
    if os.name == "nt":
        return root / ".venv" / "Scripts" / "python.exe"
    return root / ".venv" / "bin" / "python"


def venv_version(root: Path) -> "str | None":
    """Ask the environment's Python for its version; None if it is missing, broken or too old."""
    answer = _ask(root, "import sys; print('%d.%d' % sys.version_info[:2])", "-S")
    try:
        version = tuple(int(part) for part in (answer or "").split("."))
    except ValueError:
        return None
    return answer if version >= LOWEST_PYTHON else None


def has_pip(root: Path) -> bool:
    """Tell whether the environment can install anything."""
    return _ask(root, "import pip; print('yes')") == "yes"


def _ask(root: Path, code: str, *options: str) -> "str | None":
    command = [str(venv_python(root)), "-I", *options, "-c", code]
    try:
        answer = subprocess.run(command, capture_output=True, text=True, check=False)
    except OSError:
        return None
    return answer.stdout.strip() if answer.returncode == 0 else None


def read_stamp(root: Path) -> "list[str]":
    """Read the state of the environment; empty when nobody has stamped it."""
    try:
        return (root / ".venv" / STAMP).read_text(encoding="utf-8").split()
    except (OSError, UnicodeDecodeError):
        return []


def write_stamp(root: Path, lines: "list[str]") -> None:
    """Write the state of the environment, in one piece or not at all."""
    place = root / ".venv" / STAMP
    draft = place.with_suffix(".new")
    draft.write_text("".join(line + "\n" for line in lines), encoding="utf-8")
    draft.replace(place)


def is_complete(root: Path, extras: "tuple[str, ...]", python: str) -> bool:
    """Tell whether all that is wanted has been installed, going by the stamp."""
    return digest(root, extras, python) in read_stamp(root)


# --- making it ----------------------------------------------------------------------------------------------


def prepare(root: Path, extras: "tuple[str, ...]" = ()) -> Path:
    """Have an environment with everything in it, doing only what is missing, and give its Python."""
    version = venv_version(root)
    if version is not None and is_complete(root, extras, version):
        return venv_python(root)
    remedy = "Copy the project into a folder of your own, and start it from there."
    check_folder(root, "where the project lies", remedy)
    try:
        if version is None or UNFINISHED in read_stamp(root) or not has_pip(root):
            make_venv(root)
            version = venv_version(root)
        if version is None:
            raise PlainError("The new environment in .venv does not run.\nDelete that folder, then start again.")
        write_stamp(root, [UNFINISHED])
        install(root, extras, version)
        write_stamp(root, [digest(root, chosen, version) for chosen in {(), extras}])
    except OSError as error:
        sentence = folder_problem(error, root / ".venv", "the project's environment", remedy)
        raise PlainError(sentence) from error
    return venv_python(root)


def make_venv(root: Path) -> None:
    """Make .venv from nothing."""
    if importlib.util.find_spec("venv") is None or importlib.util.find_spec("ensurepip") is None:
        raise PlainError(ensurepip_problem())
    say("Making the project's own Python environment in .venv …")
    folder = root / ".venv"
    _clear(folder)
    folder.mkdir()
    write_stamp(root, [UNFINISHED])
    # Not sys.executable alone: started from inside .venv, that one has just been deleted.
    python = getattr(sys, "_base_executable", None) or sys.executable
    command = [python, "-m", "venv", str(folder)]
    made = subprocess.run(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
        env=child_surroundings(),
        check=False,
    )
    if made.returncode != 0:
        raise PlainError(_venv_problem(made.stdout, shutil.disk_usage(str(root)).free))


def _venv_problem(output: str, free: int) -> str:
    """Say why Python could not make .venv. It does not tell that the disk is full, so the free space has to."""
    if "ensurepip is not available" in output:
        return ensurepip_problem()
    if free < ROOM_FOR_VENV or any(sign in output.lower() for sign in DISK_FULL):
        return "The disk is full: .venv could not be made.\nFree about 1 GB, then start again."
    last = "\n".join("  " + line for line in output.strip().splitlines()[-SHOWN_LINES:])
    return f"Python could not make its environment in .venv.\nThe last lines it printed:\n{last}"


def _clear(folder: Path) -> None:
    """Remove an environment that cannot be used."""
    if folder.is_symlink():
        folder.unlink()
    if not folder.exists():
        return
    if not folder.is_dir():
        raise PlainError(f"{folder} is a file; a folder belongs there.\nMove it away, then start again.")
    try:
        shutil.rmtree(str(folder))
    except OSError as error:
        raise PlainError(
            f"The unusable environment {folder} could not be deleted ({error.strerror or error}).\n"
            "Close other windows in which the almanac still runs, delete that folder, then start again."
        ) from error


def install(root: Path, extras: "tuple[str, ...]", python: str) -> None:
    """Let pip fetch and install everything, its progress on the screen."""
    wanted = requirements(root, extras)
    if not wanted:
        return
    say("Installing the packages. This needs the internet and a few minutes, once only …")
    command = [str(venv_python(root)), "-m", "pip", "install", "--disable-pip-version-check", "--no-input"]
    command += ["-c", CONSTRAINTS, *wanted]
    if not extras:  # the app alone must never need a compiler; a developer's machine may have one
        command += ["--only-binary", ":all:"]
    code, lines = _run_and_keep_errors(command, root)
    if code != 0:
        raise PlainError(pip_problem(lines, python))


def _run_and_keep_errors(command: "list[str]", root: Path) -> "tuple[int, list[str]]":
    """Run a command on this screen. Only its errors go through our hands, so its progress bars stay alive."""
    kept = collections.deque(maxlen=KEPT_LINES)  # type: collections.deque[str]
    process = subprocess.Popen(
        command,
        cwd=str(root),
        env=child_surroundings(),
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        errors="replace",
    )
    with process:
        try:
            for line in process.stderr or ():
                sys.stderr.write(line)
                sys.stderr.flush()
                kept.append(line.rstrip())
        except BaseException:
            process.terminate()
            raise
    return process.returncode, list(kept)
