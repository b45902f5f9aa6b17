"""Write docs/findings.md from the kinds of findings and their meaning: `python tools/write_findings_page.py`."""

from __future__ import annotations

from pathlib import Path

from lowsimmer.domain.findings import MEANING, Kind

PAGE = Path(__file__).parents[1] / "docs" / "findings.md"
HEAD = """# Findings

What the program notices, it says in a finding: a record with a *kind*, a *severity*, a sentence, where it was noticed,
what to do next, and choices to pick from. The command line prints findings in words; `--json` gives them in the list
`findings`. The kind is a fixed name that scripts may rely on.

| severity | means |
|---|---|
| `caution` | a person could be hurt |
| `ask` | the figures are incomplete until somebody answers |
| `note` | shown so that nothing happens silently |

Written by `tools/write_findings_page.py`; a test keeps page and program alike.
"""


def page() -> str:
    """The whole page: the head, then one heading a kind in the order of the program."""
    blocks = [f"## {kind.value}\n\n{MEANING[kind]}\n" for kind in Kind]
    return "\n".join([HEAD, *blocks])


if __name__ == "__main__":
    PAGE.parent.mkdir(exist_ok=True)
    PAGE.write_text(page(), encoding="utf-8")
