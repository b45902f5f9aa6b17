"""The command line: thin, one function a verb.

A verb parses its words, calls one door of the library and prints the answer, readable or as one JSON document with
`--json`. What the user gave wrongly ends with one sentence on standard error and exit status 2. Imports of the
library stand inside the verbs, so that `lowsimmer --help` answers at once.
"""

from __future__ import annotations

import argparse
import io
import json
import sys
from collections.abc import Callable, Sequence
from typing import Any, NoReturn

from lowsimmer import __version__
from lowsimmer.domain.errors import DomainError, InputError

USAGE_ERROR = 2
REGIONS = ("us", "uk", "au", "nz")

VERBS: dict[str, str] = {
    "read": "read ingredient lines, one a row, from FILE or standard input",
    "assess": "FODMAP loads of one serving of a dish (.md, .json, .html) or of a meal (.yaml)",
    "why": "take one group of a dish or meal apart, down to the published figures",
    "foods": "search the catalogue, or show one food with its figures",
    "demo": "a worked example: a meal of four dishes, printed and written to ./demo-out",
}


class _Parser(argparse.ArgumentParser):
    """argparse with our one-sentence errors."""

    def error(self, message: str) -> NoReturn:
        """Print one sentence and leave with status 2."""
        sentence = message[0].upper() + message[1:]
        _fail(f"{sentence}. See '{self.prog} --help'.")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="lowsimmer", description="Recipe text in, grams of each FODMAP group per serving out.")
    parser.add_argument("--version", action="version", version=f"lowsimmer {__version__}")
    verbs = parser.add_subparsers(dest="verb", metavar="VERB", required=True)
    made = {verb: _verb(verbs, verb) for verb in VERBS}
    made["read"].add_argument("file", nargs="?", default="-", metavar="FILE|-")
    made["read"].add_argument("--steps", action="store_true", help="show every step of the reading")
    for verb in ("read", "assess", "why"):
        made[verb].add_argument(
            "--region", choices=REGIONS, help="whose cups, spoons and words (default: the dish's own)"
        )
    for verb in ("assess", "why"):
        made[verb].add_argument("file", metavar="FILE")
        made[verb].add_argument("--phase", default="restriction", help="restriction (default) or maintenance")
        made[verb].add_argument("--profile", help="a limit profile by name (default: that of the phase)")
        made[verb].add_argument("--seed", type=int, default=1, help="seed of the draws (default 1)")
    made["why"].add_argument(
        "group", metavar="GROUP", help="fructan, gos, lactose, excess-fructose, sorbitol, mannitol ..."
    )
    made["foods"].add_argument("words", nargs="+", metavar="WORDS")
    made["demo"].add_argument(
        "-o", "--out", default="demo-out", metavar="DIR", help="where to write (default ./demo-out)"
    )
    return parser


def _verb(verbs: Any, name: str) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = verbs.add_parser(
        name, help=VERBS[name], description=VERBS[name].capitalize() + "."
    )
    parser.add_argument("--json", action="store_true", help="one JSON document with stable keys")
    return parser


def _fail(sentence: str) -> NoReturn:
    print(f"lowsimmer: {' '.join(sentence.split())}", file=sys.stderr)
    raise SystemExit(USAGE_ERROR)


def _print_json(record: Any) -> None:
    print(json.dumps(record, ensure_ascii=False, indent=2))


def _read(arguments: argparse.Namespace) -> None:
    from lowsimmer.measuring.weigh import items_of
    from lowsimmer.publishing.records import line_record
    from lowsimmer.publishing.text import item_text, reading_findings
    from lowsimmer.reading.files import read_text
    from lowsimmer.reading.line import reader

    region = arguments.region or ""
    records = []
    lines = [line for line in read_text(arguments.file).splitlines() if line.strip()]
    if not lines:
        raise InputError("There is no ingredient line to read.", "Give one line a row, for example '2 tbsp olive oil'.")
    for text in lines:
        line = reader().read(text)
        items = items_of(line, region)
        if arguments.json:
            records.append(line_record(line, items, region))
            continue
        for item in items:
            print(item_text(item))
        if arguments.steps:
            print("\n".join(f"    {name:<18}{picture}" for name, picture in reader().steps(text)))
        print(reading_findings(items), end="")
    if arguments.json:
        _print_json(records)


def _assess(arguments: argparse.Namespace) -> None:
    from lowsimmer.loads.report import full_report
    from lowsimmer.publishing.records import assessment_record
    from lowsimmer.publishing.text import assessment_text

    report = full_report(arguments.file, arguments.phase, arguments.profile, arguments.region, arguments.seed)
    if arguments.json:
        _print_json(assessment_record(report.result, report.phases))
    else:
        print(assessment_text(report.result, report.phases), end="")


def _why(arguments: argparse.Namespace) -> None:
    from lowsimmer.loads.report import full_report
    from lowsimmer.loads.why import explain
    from lowsimmer.publishing.why import why_record, why_text

    report = full_report(arguments.file, arguments.phase, arguments.profile, arguments.region, arguments.seed)
    explained = explain(report.result, arguments.group)
    if arguments.json:
        _print_json(why_record(explained))
    else:
        print(why_text(explained), end="")


def _foods(arguments: argparse.Namespace) -> None:
    from lowsimmer.matching.search import search
    from lowsimmer.publishing.foods import foods_record, foods_text

    phrase = " ".join(arguments.words).strip()
    if not phrase:
        raise InputError("No word to search for was given.", "Name a food, for example: lowsimmer foods chickpea.")
    found = search(phrase)
    if arguments.json:
        _print_json(foods_record(found))
    else:
        print(foods_text(found), end="")


def _demo(arguments: argparse.Namespace) -> None:
    from lowsimmer.demo import run_demo

    result = run_demo(arguments.out, quiet=arguments.json)
    if arguments.json:
        _print_json(result)


_RUN: dict[str, Callable[[argparse.Namespace], None]] = {
    "read": _read,
    "assess": _assess,
    "why": _why,
    "foods": _foods,
    "demo": _demo,
}


def main(words: Sequence[str] | None = None) -> None:
    """Run one verb. Exit status 0, or 2 with one sentence on standard error."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="replace")
    arguments = _parser().parse_args(words)
    try:
        _RUN[arguments.verb](arguments)
    except DomainError as error:
        _fail(str(error))
    except BrokenPipeError:
        sys.stderr.close()
    except KeyboardInterrupt:
        _fail("Stopped. Nothing was left half written.")
