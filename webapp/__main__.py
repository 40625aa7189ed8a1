"""The command line: serve the pages, measure a photo, compare two measurements."""

from __future__ import annotations

import argparse
import json
import re
import sys
import warnings
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NoReturn

from webapp import measurement_json
from webapp.photo.card import Patch
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
        with warnings.catch_warnings(action="ignore", category=UserWarning):  # what Pillow thinks of a broken file
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
        "--card",
        type=Path,
        help='{"patches": [{"corners": [[x, y] × 4], "lab": [L, a, b]}, …]}; without it the printed card is looked for',
    )
    measure.add_argument("--swatch", action="store_true", help="measure the whole outline flat")
    measure.set_defaults(run=_measure)

    compare = commands.add_parser("compare", help="compare two outputs of measure and print JSON")
    compare.add_argument("before", type=Path)
    compare.add_argument("after", type=Path)
    compare.set_defaults(run=_compare)

    card = commands.add_parser("card", help="draw the printed card as a PNG and print where its steps lie as JSON")
    card.add_argument("--out", type=Path, required=True, metavar="CARD.png")
    card.add_argument("--id", metavar="TEXT", help="the card's name, at most 16 letters, digits, hyphens; else made up")
    card.set_defaults(run=_card)

    take_out = commands.add_parser("take-out", help="write a whole studio, rows and photos, to a ZIP")
    take_out.add_argument("file", type=Path, metavar="FILE.zip")
    take_out.add_argument("--data", type=Path, metavar="DIR", help="the studio's folder")
    take_out.set_defaults(run=_take_out)

    bring_in = commands.add_parser("bring-in", help="take such a ZIP, or its studio.json, into an empty studio")
    bring_in.add_argument("file", type=Path, metavar="FILE")
    bring_in.add_argument("--data", type=Path, metavar="DIR", help="the studio's folder")
    bring_in.set_defaults(run=_bring_in)
    return parser


def _port(text: str) -> int:
    if not (text.isdecimal() and 1 <= int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"{text!r} is no port, which is a whole number from 1 to 65535")
    return int(text)


def _serve(options: argparse.Namespace) -> int:
    from webapp.serve import serve

    return serve(options.port, options.data, options.demo)


def _take_out(options: argparse.Namespace) -> int:
    from webapp.moving import take_out

    take_out(options.file, options.data)
    return 0


def _bring_in(options: argparse.Namespace) -> int:
    from webapp.moving import bring_in

    print(json.dumps(bring_in(options.file, options.data)))
    return 0


def _measure(options: argparse.Namespace) -> int:
    from webapp.photo.measure import measure
    from webapp.photo.read import read_photo

    outline = measurement_json.read_region(_read_json(options.region), options.region.name)
    if options.card is not None:
        patches = measurement_json.read_card(_read_json(options.card), options.card.name)
    content = _read_bytes(options.photo)
    if options.card is None:
        patches = _search_card(content, options.photo.name)
    photo = read_photo(content)
    measured = measure(photo, outline, patches, swatch=options.swatch)
    print(json.dumps(measurement_json.write(measured, "search" if options.card is None else "mark")))
    return 0


def _search_card(content: bytes, name: str) -> list[Patch]:
    from webapp.photo.card_search import find_card
    from webapp.photo.read import read_photo

    found = find_card(read_photo(content))
    if found is None:
        raise Unusable(
            f"No printed card is found in {name}. "
            "Photograph again with the whole printed card flat and sharp beside the work, or mark a card with --card."
        )
    return list(found.patches)


def _card(options: argparse.Namespace) -> int:
    from webapp.photo.printed_card import DPI, draw_card, printed_card, random_id

    if options.out.suffix.lower() != ".png":
        raise Unusable("The card is written as a PNG, so --out needs a name that ends in .png.")
    card = printed_card(random_id() if options.id is None else options.id)
    try:
        draw_card(card).save(options.out, "PNG", dpi=(DPI, DPI))
    except OSError as error:
        raise Unusable(f"{options.out.name} cannot be written: {error.strerror or error}.") from error
    print(json.dumps(measurement_json.write_printed_card(card)))
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
