"""Check the project with ruff, mypy and pytest, all three: python3 scripts/test.py [pytest arguments …].

Needs nothing but Python; it uses the same .venv as run.py, and installs there what the checks need as well.
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import environment
from environment import PlainError, complain, say

BROWSERS = ("chromium", "chromium-browser", "google-chrome")


ALL_TESTS = ["-n", "auto", "--dist", "loadfile"]
"""All tests at once: as many files side by side as there are processors."""


def checks(pytest_arguments: "list[str]") -> "list[tuple[str, list[str]]]":
    """Name every check with the module and arguments that make it."""
    return [
        ("Style (ruff)", ["ruff", "check", "."]),
        ("Types (mypy)", ["mypy"]),
        ("Tests (pytest)", ["pytest", *(pytest_arguments or ALL_TESTS)]),
    ]


def browser_hint() -> "str | None":
    """Say how to get a browser for the browser tests; None if there is one."""
    if any(shutil.which(name) for name in BROWSERS):
        return None
    fate = "fail" if os.environ.get("CI") else "are skipped"
    return f"There is no Chromium here, so browser tests {fate}; on Debian, get it by: apt install chromium"


def run_all(python: Path, pytest_arguments: "list[str]", root: Path) -> "list[str]":
    """Run every check, whatever the others say; give the names of those that failed."""
    failed = []
    for name, arguments in checks(pytest_arguments):
        say(f"\n== {name} ==")
        command = [str(python), "-m", *arguments]
        done = subprocess.run(command, cwd=str(root), env=environment.child_surroundings(), check=False)
        if done.returncode != 0:
            failed.append(name)
    return failed


def main(arguments: "list[str]", root: Path = environment.ROOT) -> int:
    """Do everything; give the exit code."""
    problem = environment.old_python(sys.version_info[:3])
    if problem:
        complain(problem)
        return 1
    environment.forgiving_output()
    try:
        python = environment.prepare(root, ("test",))
        hint = browser_hint()
        if hint:
            say(hint)
        failed = run_all(python, arguments, root)
    except PlainError as error:
        complain(str(error))
        return 1
    except KeyboardInterrupt:
        complain("\nStopped.")
        return 130
    if failed:
        complain("\nFailed: " + ", ".join(failed))
        return 1
    say("\nAll is well: " + ", ".join(name for name, _ in checks([])))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
