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
from typing import TYPE_CHECKING, Any, NoReturn

from lowsimmer import __version__
from lowsimmer.domain.errors import DomainError, InputError

if TYPE_CHECKING:
    from lowsimmer.loads.report import Terms

USAGE_ERROR = 2
REGIONS = ("us", "uk", "au", "nz")

VERBS: dict[str, str] = {
    "read": "read ingredient lines, one a row, from FILE or standard input",
    "assess": "FODMAP loads of one serving of a dish (.md, .json, .html) or of a meal (.yaml)",
    "why": "take one group of a dish or meal apart, down to the published figures",
    "foods": "search the catalogue, or show one food with its figures; 'gaps FILE...' ranks missing figures",
    "sources": "every source with what was taken from it, or one source with its figures",
    "figures": "check a CSV of your own figures and show what it would change, also in dishes and meals",
    "serve": "the bench: the practitioner's pages in a browser, on this machine",
    "backup": "everything that the bench keeps, with all versions, in one checked file",
    "restore": "put a backup in the place of everything that the bench keeps",
    "export": "every dish, plate and own figure of the bench as open files in a folder or a zip",
    "import": "bring files or a folder of dishes, meals, figures and schema.org recipes onto the bench",
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
    for verb in ("read", "assess", "why", "figures"):
        made[verb].add_argument(
            "--region", choices=REGIONS, help="whose cups, spoons and words (default: the dish's own, else all)"
        )
    for verb in ("assess", "why", "foods"):
        made[verb].add_argument("--figures-file", metavar="FILE", help="a CSV of your own figures, used for this run")
    for verb in ("assess", "why", "figures"):
        made[verb].add_argument("file", metavar="FILE")
        made[verb].add_argument("--phase", default="restriction", help="restriction (default) or maintenance")
        made[verb].add_argument("--profile", help="a limit profile by name (default: that of the phase)")
        made[verb].add_argument("--seed", type=int, default=1, help="seed of the draws (default 1)")
    made["why"].add_argument(
        "group", metavar="GROUP", help="fructan, gos, lactose, excess-fructose, sorbitol, mannitol ..."
    )
    made["figures"].add_argument("dishes", nargs="*", metavar="DISH", help="dishes and meals to compare")
    made["foods"].add_argument("words", nargs="+", metavar="WORDS")
    made["foods"].add_argument("--figures", action="store_true", help="draw the figures behind each estimate, in text")
    made["foods"].add_argument("--svg", metavar="DIR", help="write the same drawings as pictures into DIR")
    made["sources"].add_argument("key", nargs="?", metavar="KEY", help="a source key, as 'why' and 'foods' show them")
    _bench(made)
    made["demo"].add_argument(
        "-o", "--out", default="demo-out", metavar="DIR", help="where to write (default ./demo-out)"
    )
    return parser


def _bench(made: dict[str, argparse.ArgumentParser]) -> None:
    """What the verbs of the bench understand."""
    for verb in ("serve", "backup", "restore", "export", "import"):
        where = "an SQLite file or a postgresql:// address (default: LOWSIMMER_STORE, else the user's data folder)"
        made[verb].add_argument("--store", metavar="WHERE", help=where)
    made["serve"].add_argument("--host", default="127.0.0.1", help="address to listen on (default 127.0.0.1)")
    made["serve"].add_argument("--port", type=int, default=8424, help="port to listen on (default 8424; 0: a free one)")
    name = "answer to a further host name too: NAME, NAME:PORT, or https://NAME behind a proxy; may be repeated"
    made["serve"].add_argument("--allow-host", action="append", default=[], metavar="NAME", help=name)
    made["serve"].add_argument(
        "--rate", type=float, default=40.0, help="requests a second a client may keep up (default 40)"
    )
    made["serve"].add_argument("--set-password", action="store_true", help="ask for a password and keep its hash")
    begin = made["serve"].add_mutually_exclusive_group()
    begin.add_argument("--demo", dest="begin", action="store_const", const="demo", help="begin with the worked example")
    begin.add_argument("--empty", dest="begin", action="store_const", const="empty", help="begin with an empty bench")
    for verb in ("backup", "restore"):
        made[verb].add_argument("file", metavar="FILE")
    made["export"].add_argument("folder", metavar="DIR|FILE.zip")
    made["import"].add_argument("files", nargs="+", metavar="FILE|DIR")
    for verb in ("restore", "import"):
        made[verb].add_argument("--yes", action="store_true", help="do it; without it only say what would be done")


def _verb(verbs: Any, name: str) -> argparse.ArgumentParser:
    words = VERBS[name]
    sentence = words[0].upper() + words[1:] + "."  # capitalize() would also turn FODMAP into small letters
    parser: argparse.ArgumentParser = verbs.add_parser(name, help=words, description=sentence)
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


def _terms(arguments: argparse.Namespace) -> Terms:
    from lowsimmer.loads.report import Terms

    return Terms(arguments.phase, arguments.profile, arguments.region, arguments.seed)


def _assess(arguments: argparse.Namespace) -> None:
    from lowsimmer.loads.report import full_report
    from lowsimmer.publishing.records import assessment_record
    from lowsimmer.publishing.text import assessment_text

    report = full_report(arguments.file, _terms(arguments), arguments.figures_file)
    if arguments.json:
        _print_json(assessment_record(report.result, report.phases))
    else:
        print(assessment_text(report.result, report.phases), end="")


def _why(arguments: argparse.Namespace) -> None:
    from lowsimmer.loads.report import full_report
    from lowsimmer.loads.why import explain
    from lowsimmer.publishing.why import why_record, why_text

    report = full_report(arguments.file, _terms(arguments), arguments.figures_file)
    explained = explain(report.result, arguments.group)
    if arguments.json:
        _print_json(why_record(explained))
    else:
        print(why_text(explained), end="")


def _foods(arguments: argparse.Namespace) -> None:
    from lowsimmer.reading.figures import figures_named
    from lowsimmer.reference.own import using

    with using(figures_named(arguments.figures_file)):
        _search(arguments)


def _search(arguments: argparse.Namespace) -> None:
    from lowsimmer.matching.search import search
    from lowsimmer.publishing.foods import foods_record, foods_text
    from lowsimmer.publishing.forest import figures_text, pictures
    from lowsimmer.publishing.picture import save_pictures

    phrase = " ".join(arguments.words).strip()
    if not phrase:
        raise InputError("No word to search for was given.", "Name a food, for example: lowsimmer foods chickpea.")
    if arguments.words[0] == "gaps":
        _gaps(arguments)
        return
    found = search(phrase)
    saved = save_pictures(arguments.svg, pictures(found)) if arguments.svg is not None else []
    if arguments.json:
        _print_json({**foods_record(found), "pictures": saved})
        return
    print(figures_text(found) if arguments.figures and found.foods else foods_text(found), end="")
    if arguments.svg is not None:
        print(f"\nWritten to {arguments.svg}: {', '.join(saved) or 'nothing, for there is no figure to draw'}.")


def _gaps(arguments: argparse.Namespace) -> None:
    from lowsimmer.loads.gaps import find_gaps
    from lowsimmer.publishing.gaps import gaps_record, gaps_text

    files = arguments.words[1:]
    if not files or arguments.figures or arguments.svg is not None:
        raise InputError("'foods gaps' takes dishes and meals, and no drawing.", "Write: lowsimmer foods gaps FILE ...")
    found = find_gaps(files)
    if arguments.json:
        _print_json(gaps_record(found))
    else:
        print(gaps_text(found), end="")


def _sources(arguments: argparse.Namespace) -> None:
    from lowsimmer.publishing.sources import source_record, source_text, source_with_figures, sources_text
    from lowsimmer.reference.evidence import source_use, source_uses

    if arguments.key is None:
        uses = list(source_uses().values())
        if arguments.json:
            _print_json([source_record(each) for each in uses])
        else:
            print(sources_text(uses), end="")
        return
    use = source_use(arguments.key)
    if arguments.json:
        _print_json(source_with_figures(use))
    else:
        print(source_text(use), end="")


def _figures(arguments: argparse.Namespace) -> None:
    from lowsimmer.loads.preview import preview
    from lowsimmer.loads.report import full_report
    from lowsimmer.publishing.figures import preview_record, preview_text
    from lowsimmer.reading.figures import open_figures

    terms, figures = _terms(arguments), open_figures(arguments.file)
    seen = preview(figures, arguments.dishes, lambda file: full_report(file, terms).result)
    if arguments.json:
        _print_json(preview_record(seen))
    else:
        print(preview_text(seen), end="")


def _demo(arguments: argparse.Namespace) -> None:
    from lowsimmer.demo import run_demo

    result = run_demo(arguments.out, quiet=arguments.json)
    if arguments.json:
        _print_json(result)


def _on_the_bench(arguments: argparse.Namespace) -> None:
    from lowsimmer.web import verbs

    doors = {
        "serve": verbs.serve,
        "backup": verbs.keep_backup,
        "restore": verbs.put_restore,
        "export": verbs.write_export,
        "import": verbs.take_import,
    }
    record = doors[arguments.verb](arguments)
    if record is None:
        return
    if arguments.json:
        _print_json(record)
    elif words := verbs.words_of(arguments.verb, record):
        print(words)


_RUN: dict[str, Callable[[argparse.Namespace], None]] = {
    "read": _read,
    "assess": _assess,
    "why": _why,
    "foods": _foods,
    "sources": _sources,
    "figures": _figures,
    **dict.fromkeys(("serve", "backup", "restore", "export", "import"), _on_the_bench),
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
