"""run.py, test.py, environment.py and .ci/run, tried on a small made-up project with a made-up pip and app."""

import ast
import http.client
import importlib.util
import os
import shutil
import signal
import socket
import subprocess
import sys
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from threading import Thread

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCRIPTS = ROOT / "scripts"
FILES = ("run.py", "test.py", "environment.py")
OLD_LIBRARY = {  # modules that Python 3.6 had already
    *("argparse", "collections", "errno", "hashlib", "http.client", "importlib.util", "io", "json", "os"),
    *("pathlib", "shutil", "signal", "socket", "subprocess", "sys", "threading", "time", "webbrowser"),
}
PATIENCE = 120  # seconds until a run that hangs counts as failed


def load(name, file):
    spec = importlib.util.spec_from_file_location(name, SCRIPTS / file)
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


environment = load("environment", "environment.py")
run = load("almanac_run", "run.py")
checks = load("almanac_checks", "test.py")

APP = """
import os, signal, sys
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path


def note(number, frame):
    with open("app-signals.txt", "a") as file:
        print(signal.Signals(number).name, file=file)
    os._exit(0)


signal.signal(signal.SIGTERM, note)
signal.signal(signal.SIGINT, note)
Path("app-called.txt").write_text(repr(sys.argv[1:]))
if Path("app-dies").exists():
    print("the app's own words", file=sys.stderr)
    sys.exit(3)


class Answer(BaseHTTPRequestHandler):
    def do_GET(self):
        if self.path == "/leave":
            os._exit(7)
        self.send_response(200)
        self.end_headers()
        self.wfile.write(b"ok" if self.path == "/health" else b"page")

    def log_message(self, *args):
        pass


port = int(sys.argv[sys.argv.index("--port") + 1])
HTTPServer(("127.0.0.1", port), Answer).serve_forever()
"""
# A made-up module, for pip, ruff, mypy and pytest: notes how it was called, then succeeds or fails as told.
TOOL = """
import sys
from pathlib import Path

name = Path(__file__).parent.name
with open("calls.txt", "a") as file:
    print(name, *sys.argv[1:], file=file)
words = Path(name + "-fails.txt")
if words.exists():
    print(words.read_text(), file=sys.stderr)
    sys.exit(1)
"""
PROJECT = """
[project]
dependencies = ["apple", "pear"]
[project.optional-dependencies]
test = ["plum"]
"""

NO_NETWORK = """\
WARNING: Retrying (Retry(total=0, connect=None, read=None, redirect=None, status=None)) after connection broken by \
'NewConnectionError('<HTTPSConnection object>: Failed to establish a new connection: [Errno -3] Temporary failure \
in name resolution')': /simple/alembic/
"""
NOT_FOUND = """\
ERROR: Could not find a version that satisfies the requirement alembic==1 (from versions: none)
ERROR: No matching distribution found for alembic==1
"""
CONFLICT = """\
ERROR: Cannot install alembic because these package versions have conflicting dependencies.
ERROR: ResolutionImpossible: for help visit the documentation
"""


@pytest.fixture
def project(tmp_path):
    """A small project with the real scripts, without an environment."""
    root = tmp_path / "project"
    (root / "scripts").mkdir(parents=True)
    for file in FILES:
        shutil.copy(SCRIPTS / file, root / "scripts" / file)
    (root / "scripts" / "constraints.txt").write_text("apple==1\npear==2\nplum==3\n")
    (root / "pyproject.toml").write_text(PROJECT)
    (root / "webapp").mkdir()
    (root / "webapp" / "__main__.py").write_text(APP)
    return root


@pytest.fixture
def furnished(project):
    """The same with an environment that has a made-up pip and made-up checks, but no stamp yet."""
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(project / ".venv")], check=True)
    library = next((project / ".venv").glob("[Ll]ib/**/site-packages"))
    for name in ("pip", "ruff", "mypy", "pytest"):
        (library / name).mkdir()
        (library / name / "__init__.py").touch()
        (library / name / "__main__.py").write_text(TOOL)
    return project


@pytest.fixture
def complete(furnished):
    """The same with everything installed, as the stamp says."""
    stamp(furnished)
    return furnished


def stamp(root, *extras):
    here = "{}.{}".format(*sys.version_info[:2])
    environment.write_stamp(root, [environment.digest(root, extras, here)])


def calls(root):
    file = root / "calls.txt"
    return file.read_text().splitlines() if file.exists() else []


def command(root, *arguments, script="run.py"):
    return [sys.executable, str(root / "scripts" / script), *map(str, arguments)]


def try_out(root, *arguments, script="run.py", **options):
    options.setdefault("cwd", root.parent)
    return subprocess.run(
        command(root, *arguments, script=script),
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=PATIENCE,
        check=False,
        **options,
    )


def some_free_port():
    with socket.create_server(("127.0.0.1", 0)) as server:
        return server.getsockname()[1]


def ask(port, path):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    try:
        connection.request("GET", path)
        return connection.getresponse().read()
    except (http.client.HTTPException, ConnectionError):
        return None
    finally:
        connection.close()


# --- old Pythons ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("file", FILES)
def test_loads_under_an_old_python(file):
    tree = ast.parse((SCRIPTS / file).read_text(encoding="utf-8"), feature_version=(3, 6))
    imported = set()
    for node in tree.body:
        if isinstance(node, ast.Import):
            imported |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            imported.add(node.module)
    assert imported - {"environment"} <= OLD_LIBRARY


@pytest.mark.parametrize("file", FILES)
def test_quotes_annotations_that_an_old_python_cannot_evaluate(file):
    for node in ast.walk(ast.parse((SCRIPTS / file).read_text(encoding="utf-8"))):
        for name in ("annotation", "returns"):
            annotation = getattr(node, name, None)
            modern = [part for part in ast.walk(annotation or ast.Pass()) if hasattr(part, "slice")]
            assert not modern, f"line {node.lineno}: {ast.unparse(annotation)}"
            assert not isinstance(annotation, ast.BinOp), f"line {node.lineno}: {ast.unparse(annotation)}"


@pytest.mark.parametrize("version", [(2, 7, 18), (3, 6, 15), (3, 9, 1), (3, 10, 99)])
def test_an_old_python_is_told_what_to_do(version):
    sentence = environment.old_python(version)
    assert "3.11 or newer" in sentence
    assert ".".join(map(str, version)) in sentence
    assert "Install a newer Python" in sentence


@pytest.mark.parametrize("version", [(3, 11, 0), (3, 12, 4), (3, 20), (4, 0, 0)])
def test_a_new_python_is_accepted(version):
    assert environment.old_python(version) is None


@pytest.mark.parametrize("script", [run, checks])
def test_an_old_python_goes_no_further(script, monkeypatch, capsys, project):
    monkeypatch.setattr(environment, "old_python", lambda version: "Too old.")
    monkeypatch.setattr(environment, "prepare", lambda *given: pytest.fail("went on to install"))
    assert script.main([], project) == 1
    assert capsys.readouterr().err == "Too old.\n"


# --- the command line -------------------------------------------------------------------------------------


def test_arguments_left_out():
    options = run.parse([])
    assert (options.demo, options.port, options.data, options.no_browser) == (False, 4950, None, False)
    assert run.command_line(Path("py"), options, None) == ["py", "-m", "webapp", "serve", "--port", "4950"]


def test_arguments_are_handed_to_the_app():
    options = run.parse(["--demo", "--port", "5001", "--data", "here", "--no-browser"])
    assert options.no_browser
    handed = run.command_line(Path("py"), options, Path("/there"))
    assert handed == ["py", "-m", "webapp", "serve", "--port", "5001", "--demo", "--data", str(Path("/there"))]


@pytest.mark.parametrize("port", ["0", "65536", "-1", "x", ""])
def test_a_port_that_is_none(port, capsys):
    with pytest.raises(SystemExit) as stopped:
        run.parse([f"--port={port}"])
    assert stopped.value.code == 2
    assert "whole number from 1 to 65535" in capsys.readouterr().err


# --- the port ---------------------------------------------------------------------------------------------


def test_a_taken_port_is_named_before_anything_is_installed(project):
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        # The listener never answers; closing it at once would free the port, so it stays open meanwhile.
        result = try_out(project, "--port", port, "--no-browser")
    assert result.returncode == 1
    assert f"Port {port} is taken" in result.stderr
    assert "Start again with another one: --port " in result.stderr
    assert f"--port {port}" not in result.stderr
    assert "already running" not in result.stderr
    assert "Traceback" not in result.stderr
    assert not (project / ".venv").exists()


def test_the_proposed_port_is_free():
    with socket.create_server(("127.0.0.1", 0)) as other:
        taken = other.getsockname()[1]
        proposed = run.free_port(taken - 1 if taken > 1024 else taken)
        assert proposed not in (None, taken)
        with socket.create_server(("127.0.0.1", proposed)):
            pass


def test_a_port_that_answers_like_the_almanac_is_said_to_be_it():
    class Answer(BaseHTTPRequestHandler):
        def do_GET(self):
            self.send_response(200)
            self.end_headers()
            self.wfile.write(b"ok")

        def log_message(self, *args):
            pass

    with HTTPServer(("127.0.0.1", 0), Answer) as other:
        thread = Thread(target=other.serve_forever)
        thread.start()
        try:
            with pytest.raises(environment.PlainError, match="already running: open http://127"):
                run.check_port(other.server_port)
        finally:
            other.shutdown()
            thread.join()


def test_a_free_port_passes():
    run.check_port(some_free_port())


# --- folders ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("blocked", ["file", "file/below"])
def test_a_data_folder_that_is_a_file(project, blocked):
    (project.parent / "file").write_text("kept")
    result = try_out(project, "--port", some_free_port(), "--data", blocked)
    assert result.returncode == 1
    assert f"{project.parent / blocked}, the data folder, " in result.stderr
    assert "--data almanac-data" in result.stderr
    assert "Traceback" not in result.stderr
    assert not (project / ".venv").exists()
    assert (project.parent / "file").read_text() == "kept"


def test_a_data_folder_is_made_and_left_empty(tmp_path):
    environment.check_folder(tmp_path / "a" / "b", "the data folder", "Choose another.")
    assert list((tmp_path / "a" / "b").iterdir()) == []


@pytest.mark.parametrize(
    ("number", "words"),
    [("ENOSPC", "disk is full"), ("EACCES", "cannot be written to"), ("EROFS", "cannot be written to")],
)
def test_a_folder_that_cannot_be_written_to(tmp_path, monkeypatch, number, words):
    def refuse(self, data):
        code = getattr(environment.errno, number)
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(Path, "write_bytes", refuse)
    with pytest.raises(environment.PlainError, match=words) as stopped:
        environment.check_folder(tmp_path, "the data folder", "Choose another.")
    assert str(tmp_path) in str(stopped.value)


def test_a_file_in_the_place_of_the_environment(project):
    (project / ".venv").write_text("kept")
    with pytest.raises(environment.PlainError, match="is a file"):
        environment.prepare(project)
    assert (project / ".venv").read_text() == "kept"


@pytest.mark.parametrize("lost", ["pyproject.toml", "scripts/constraints.txt"])
def test_an_incomplete_copy(complete, lost):
    (complete / lost).unlink()
    with pytest.raises(environment.PlainError, match="incomplete: " + lost):
        environment.prepare(complete)


# --- the stamp --------------------------------------------------------------------------------------------


def test_a_complete_environment_is_left_alone(complete):
    assert environment.prepare(complete) == environment.venv_python(complete)
    assert calls(complete) == []


def test_everything_wanted_goes_through_pip_with_the_exact_versions(furnished):
    environment.prepare(furnished)
    (call,) = calls(furnished)
    assert call.startswith("pip install ")
    assert "-c scripts/constraints.txt apple pear" in call
    assert "plum" not in call
    environment.prepare(furnished)
    assert len(calls(furnished)) == 1


def change_constraints(root):
    (root / "scripts" / "constraints.txt").write_text("apple==1\npear==2.1\nplum==3\n")


def change_packages(root):
    (root / "pyproject.toml").write_text(PROJECT.replace('"pear"', '"pear", "fig"'))


def forget(root):
    (root / ".venv" / environment.STAMP).unlink()


@pytest.mark.parametrize("change", [change_constraints, change_packages, forget])
def test_a_change_installs_anew_once(complete, change):
    change(complete)
    environment.prepare(complete)
    environment.prepare(complete)
    assert [call.split()[0] for call in calls(complete)] == ["pip"]


def test_what_does_not_matter_changes_no_digest(project):
    before = environment.digest(project, (), "3.11")
    (project / "pyproject.toml").write_text(PROJECT.replace('"apple", "pear"', '"pear",\n "apple"') + "\n# x\n")
    assert environment.digest(project, (), "3.11") == before
    assert environment.digest(project, (), "3.12") != before
    assert environment.digest(project, ("test",), "3.11") != before


def test_the_checks_packages_include_the_apps_but_not_the_other_way_round(complete):
    environment.prepare(complete, ("test",))
    assert len(calls(complete)) == 1
    assert "plum" in calls(complete)[0]
    environment.prepare(complete)
    environment.prepare(complete, ("test",))
    assert len(calls(complete)) == 1


def test_a_failed_installation_is_made_anew(furnished, monkeypatch):
    (furnished / "pip-fails.txt").write_text("cut off")
    with pytest.raises(environment.PlainError):
        environment.prepare(furnished)
    assert environment.read_stamp(furnished) == [environment.UNFINISHED]
    (furnished / "pip-fails.txt").unlink()
    made = []
    monkeypatch.setattr(environment, "make_venv", made.append)
    environment.prepare(furnished)
    assert made == [furnished]
    assert environment.UNFINISHED not in environment.read_stamp(furnished)


def test_an_environment_whose_python_is_gone_is_made_anew(complete, monkeypatch):
    python = environment.venv_python(complete)
    python.unlink()
    assert environment.venv_version(complete) is None

    class MadeError(Exception):
        pass

    def make(root):
        raise MadeError

    monkeypatch.setattr(environment, "make_venv", make)
    with pytest.raises(MadeError):
        environment.prepare(complete)


def test_an_environment_of_an_old_python_does_not_count(complete, monkeypatch):
    assert environment.venv_version(complete) == "{}.{}".format(*sys.version_info[:2])
    monkeypatch.setattr(environment, "_ask", lambda *given: "3.10")
    assert environment.venv_version(complete) is None


def test_an_environment_is_made_from_nothing(project):
    (project / "pyproject.toml").write_text("[project]\ndependencies = []\n")
    (project / ".venv" / "rest").mkdir(parents=True)  # as left by something unusable
    python = environment.prepare(project)
    assert subprocess.run([str(python), "-m", "pip", "--version"], capture_output=True, check=False).returncode == 0
    assert not (project / ".venv" / "rest").exists()
    assert environment.is_complete(project, (), environment.venv_version(project))


@pytest.mark.parametrize("missing", ["venv", "ensurepip"])
def test_a_python_without_its_venv_parts(project, monkeypatch, missing):
    find = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name == missing else find(name))
    with pytest.raises(environment.PlainError, match="apt install python3-venv"):
        environment.prepare(project)
    assert not (project / ".venv").exists()


def test_children_are_not_led_out_of_the_environment(monkeypatch):
    for name in ("PYTHONPATH", "PYTHONHOME", "PYTHONSAFEPATH"):
        monkeypatch.setenv(name, "elsewhere")
    monkeypatch.setenv("PIP_USER", "1")
    given = environment.child_surroundings()
    assert not {"PYTHONPATH", "PYTHONHOME", "PYTHONSAFEPATH"} & set(given)
    assert given["PIP_USER"] == "0"


# --- what pip says ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "words",
    [
        NO_NETWORK + NOT_FOUND,
        NO_NETWORK + CONFLICT,
        "pip._vendor.urllib3.exceptions.ReadTimeoutError: HTTPSConnectionPool: Read timed out.",
        "after connection broken by 'ProxyError('Cannot connect to proxy.', ...)'\n" + NOT_FOUND,
        "There was a problem confirming the ssl certificate: CERTIFICATE_VERIFY_FAILED\n" + NOT_FOUND,
        "[Errno 11001] getaddrinfo failed\n" + NOT_FOUND,
    ],
)
def test_no_network_is_recognised(words):
    assert "could not be reached" in environment.pip_problem(words.splitlines(), "3.11")


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (NOT_FOUND, "not all exist ready-made for Python 3.99"),
        (CONFLICT, "not all exist ready-made for Python 3.99"),
        (NO_NETWORK + NOT_FOUND.replace("none", "0.8, 0.9"), "not all exist ready-made for Python 3.99"),
        ("ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device", "disk is full"),
        (NO_NETWORK + "OSError: [WinError 112] There is not enough space on the disk", "disk is full"),
        ("ERROR: Could not install packages: [Errno 13] Permission denied: 'x'", "cannot be written to"),
        ("ERROR: something else", "pip failed"),
        ("", "pip failed"),
    ],
)
def test_other_failures_are_not_taken_for_a_missing_network(words, reason):
    sentence = environment.pip_problem(words.splitlines(), "3.99")
    assert reason in sentence
    assert "could not be reached" not in sentence


def test_a_start_without_network_shows_pips_words_and_ends_with_a_sentence(furnished):
    (furnished / "pip-fails.txt").write_text(NO_NETWORK + NOT_FOUND)
    result = try_out(furnished, "--port", some_free_port(), "--no-browser")
    assert result.returncode == 1
    words, sentence = result.stderr.split("The packages could not be fetched", 1)
    assert "No matching distribution found" in words
    assert "Check the internet connection" in sentence
    assert "Traceback" not in result.stderr
    assert not (furnished / "app-called.txt").exists()


@pytest.mark.parametrize(
    ("words", "free", "reason"),
    [
        ("Error: ... because ensurepip is not available.", 10**12, "apt install python3-venv"),
        ("Error: Command '[..., 'ensurepip']' returned non-zero exit status 1.", 1000, "disk is full"),
        ("Error: odd", 10**12, "Error: odd"),
    ],
)
def test_reasons_why_no_environment_could_be_made(words, free, reason):
    assert reason in environment._venv_problem(words, free)


# --- running the app --------------------------------------------------------------------------------------


def test_a_second_start_runs_the_app_at_once_and_passes_its_exit_code_on(complete):
    port = some_free_port()
    arguments = command(complete, "--demo", "--port", port, "--data", "mine", "--no-browser")
    with subprocess.Popen(arguments, cwd=complete.parent, stdout=subprocess.PIPE, text=True) as process:
        address = next(line for line in process.stdout if "http://" in line)
        assert f"http://127.0.0.1:{port}/" in address
        ask(port, "/leave")
        assert process.wait(PATIENCE) == 7
    assert calls(complete) == []
    given = ["serve", "--port", str(port), "--demo", "--data", str(complete.parent / "mine")]
    assert (complete / "app-called.txt").read_text() == repr(given)


def test_an_app_that_dies_at_the_start(complete):
    (complete / "app-dies").touch()
    result = try_out(complete, "--port", some_free_port(), "--no-browser")
    assert result.returncode == 1
    assert "the app's own words" in result.stderr
    assert "ended before it was up (code 3)" in result.stderr
    assert "http://" not in result.stdout
    assert "Traceback" not in result.stderr


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such signals")
@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_being_stopped_ends_the_app_too(complete, name):
    number = getattr(signal, name)
    port = some_free_port()
    process = subprocess.Popen(
        command(complete, "--port", port, "--no-browser"),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        preexec_fn=lambda: signal.signal(number, signal.SIG_DFL),  # as in a terminal, wherever pytest runs
    )
    with process:
        assert any("http://" in line for line in process.stdout)
        os.killpg(process.pid, number)  # to the whole group, as a terminal does
        rest, errors = process.communicate(timeout=PATIENCE)
    assert process.returncode == 0
    assert "Ending the almanac" in rest
    assert errors == ""
    assert (complete / "app-signals.txt").read_text() == "SIGTERM\n"  # asked once, politely
    assert run.bind_error(port) is None


@pytest.mark.parametrize(("arguments", "opened"), [([], True), (["--no-browser"], False)])
def test_the_browser_opens_unless_unwanted(complete, monkeypatch, arguments, opened):
    port = some_free_port()
    seen = []
    monkeypatch.setattr(run, "open_browser", seen.append)
    monkeypatch.setattr(run, "wait", lambda child: 0)
    options = run.parse(["--port", str(port), *arguments])
    app = [sys.executable, "-m", "webapp", "serve", "--port", str(port)]
    assert run.serve(app, options, complete) == 0
    assert seen == ([f"http://127.0.0.1:{port}/"] if opened else [])


@pytest.mark.skipif(os.name == "nt", reason="the stand-in for a browser is a shell's")
def test_a_browser_that_blocks_does_not_hold_the_app_up(complete):
    port = some_free_port()
    browser = complete / "browser.py"
    browser.write_text(
        "import sys, urllib.request\n"
        "try:\n    urllib.request.urlopen(sys.argv[1] + 'leave')\n"
        "except OSError:\n    pass\n"
        "sys.stdin.read()\n"
    )
    surroundings = {**os.environ, "BROWSER": f"{sys.executable} {browser} %s"}
    with subprocess.Popen(
        command(complete, "--port", port), stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, env=surroundings
    ) as process:
        assert process.wait(PATIENCE) == 7  # although the browser still waits for input


# --- the checks -------------------------------------------------------------------------------------------


def test_all_checks_run_in_order_with_pytests_arguments(furnished):
    stamp(furnished, "test")
    result = try_out(furnished, "-k", "one", script="test.py")
    assert result.returncode == 0
    assert calls(furnished) == ["ruff check .", "mypy", "pytest -k one"]
    headings = [line for line in result.stdout.splitlines() if line.startswith("== ")]
    assert headings == ["== Style (ruff) ==", "== Types (mypy) ==", "== Tests (pytest) =="]


@pytest.mark.parametrize("broken", ["ruff", "mypy", "pytest"])
def test_one_failed_check_fails_the_whole_but_stops_nothing(furnished, broken):
    stamp(furnished, "test")
    (furnished / f"{broken}-fails.txt").write_text("no")
    result = try_out(furnished, script="test.py")
    assert result.returncode == 1
    assert [call.split()[0] for call in calls(furnished)] == ["ruff", "mypy", "pytest"]
    assert broken in result.stderr.split("Failed: ")[1]


def test_a_missing_browser_is_mentioned(monkeypatch):
    monkeypatch.setattr(shutil, "which", lambda name: None)
    monkeypatch.delenv("CI", raising=False)
    assert "are skipped; on Debian, get it by: apt install chromium" in checks.browser_hint()
    monkeypatch.setenv("CI", "true")
    assert "browser tests fail" in checks.browser_hint()
    monkeypatch.setattr(shutil, "which", lambda name: "/bin/x" if name == "chromium-browser" else None)
    assert checks.browser_hint() is None


@pytest.mark.skipif(os.name == "nt", reason="a bash script for Debian")
@pytest.mark.parametrize(
    ("chromium", "venv", "expected"),
    [
        (True, True, []),
        (False, True, ["update", "install chromium"]),
        (True, False, ["update", "install python3 python3-venv"]),
    ],
)
def test_the_gate_installs_only_what_a_debian_machine_lacks(tmp_path, chromium, venv, expected):
    tools = tmp_path / "bin"
    tools.mkdir()
    for name in ("bash", "dirname"):
        (tools / name).symlink_to(shutil.which(name))
    stand_ins = {"apt-get": f'echo "$@" >> {tmp_path}/apt.txt'}
    stand_ins["python3"] = f'if [ "$1" = -c ]; then exit {0 if venv else 1}; fi; echo "CI=$CI" "$@"; exit 5'
    if chromium:
        stand_ins["chromium"] = "exit 0"
    for name, words in stand_ins.items():
        (tools / name).write_text(f"#!{tools}/bash\n{words}\n")
        (tools / name).chmod(0o755)
    (tmp_path / ".ci").mkdir()
    shutil.copy(ROOT / ".ci" / "run", tmp_path / ".ci" / "run")
    result = subprocess.run(
        [str(tools / "bash"), ".ci/run"],
        cwd=tmp_path,
        env={"PATH": str(tools)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (result.returncode, result.stdout, result.stderr) == (5, "CI=true scripts/test.py\n", "")
    log = tmp_path / "apt.txt"
    done = log.read_text().splitlines() if log.exists() else []
    plain = [" ".join(word for word in line.split() if not word.startswith(("--", "fonts"))) for line in done]
    assert plain == expected
