"""The command line: serve the pages, measure a photo, compare two measurements."""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NoReturn

from webapp import measurement_json
from webapp.settings import PORT


class Unusable(Exception):
    """What was given cannot be used; the message is the sentence that is printed."""


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        raise Unusable(f"{message[:1].upper()}{message[1:]}. Try --help.")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; give the exit status: 0, or 2 with one sentence on standard error."""
    try:
        options = _parser().parse_args(arguments)
        run: Callable[[argparse.Namespace], int] = options.run
        return run(options)
    except (Unusable, ValueError, OSError, RuntimeError, MemoryError) as error:
        print(_one_sentence(str(error) or type(error).__name__), file=sys.stderr)
        return 2


def _one_sentence(message: str) -> str:
    """Join the sentences of a message, such as what is wrong and what to do about it, into one on one line."""

    def join(found: re.Match[str]) -> str:
        return f"; {found[1].lower() if found[2].islower() or found[2] == ' ' else found[1]}{found[2]}"

    return re.sub(r"[.!?] (\w)(.)", join, " ".join(message.split())).rstrip(".") + "."


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="python -m webapp", description="The Healed Colour Almanac.")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND", parser_class=_Parser)

    serve = commands.add_parser("serve", help="start the pages on this machine")
    serve.add_argument("--port", type=_port, default=PORT, metavar="N", help="where to listen (%(default)s)")
    serve.add_argument("--data", type=Path, metavar="DIR", help="the studio's folder")
    serve.add_argument("--demo", action="store_true", help="an invented studio, kept apart from your own")
    serve.set_defaults(run=_serve)

    measure = commands.add_parser("measure", help="measure one photo and print JSON")
    measure.add_argument("photo", type=Path)
    measure.add_argument("--region", type=Path, required=True, help='{"outline": [[x, y], …]}')
    measure.add_argument(
        "--card", type=Path, required=True, help='{"patches": [{"corners": [[x, y] × 4], "lab": [L, a, b]}, …]}'
    )
    measure.add_argument("--swatch", action="store_true", help="measure the whole outline flat")
    measure.set_defaults(run=_measure)

    compare = commands.add_parser("compare", help="compare two outputs of measure and print JSON")
    compare.add_argument("before", type=Path)
    compare.add_argument("after", type=Path)
    compare.set_defaults(run=_compare)
    return parser


def _port(text: str) -> int:
    if not (text.isdecimal() and 1 <= int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"{text!r} is no port, which is a whole number from 1 to 65535")
    return int(text)


def _serve(options: argparse.Namespace) -> int:
    from webapp.serve import serve

    return serve(options.port, options.data, options.demo)


def _measure(options: argparse.Namespace) -> int:
    from webapp.photo.measure import measure
    from webapp.photo.read import read_photo, reduction_for

    outline = measurement_json.read_region(_read_json(options.region), options.region.name)
    patches = measurement_json.read_card(_read_json(options.card), options.card.name)
    photo = read_photo(_read_bytes(options.photo), reduction=reduction_for(outline))
    measured = measure(photo, outline, patches, swatch=options.swatch)
    print(json.dumps(measurement_json.write(measured)))
    return 0


def _compare(options: argparse.Namespace) -> int:
    from webapp.drift.change import compare

    before, after = (measurement_json.read(_read_json(p), p.name) for p in (options.before, options.after))
    print(json.dumps(measurement_json.write_comparison(compare(*before, *after))))
    return 0


def _read_bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise Unusable(f"{path.name or path} cannot be read: {error.strerror}.") from error


def _read_json(path: Path) -> Any:
    try:
        return json.loads(_read_bytes(path))
    except RecursionError as error:
        raise Unusable(f"{path.name} is JSON nested too deeply to be read.") from error
    except ValueError as error:
        raise Unusable(f"{path.name} is not JSON: {error}.") from error


if __name__ == "__main__":
    sys.exit(main())
