"""Score of the reader on the hand-labelled lines: `python -m benchmarks.score_lines`."""

from __future__ import annotations

from tests.lines.score import FIELDS, scored


def main() -> None:
    """Print the share of right fields, foods and weights, and every line that went wrong."""
    lines = scored()
    count = len(lines)
    for field in FIELDS:
        print(f"{field:<14}{1 - sum(field in each.wrong for each in lines) / count:8.1%} of {count} lines")
    print(f"{'all fields':<14}{sum(not each.wrong for each in lines) / count:8.1%}")
    print(f"{'food and form':<14}{sum(each.food_right for each in lines) / count:8.1%}")
    compared = [each for each in lines if each.grams_right is not None]
    print(f"{'weight':<14}{sum(bool(each.grams_right) for each in compared) / len(compared):8.1%} of {len(compared)}")
    print(f"silent wrong matches: {sum(each.silent for each in lines)}")
    for each in lines:
        if each.wrong or not each.food_right or each.grams_right is False:
            weight = " weight" if each.grams_right is False else ""
            print(f"  {each.row['line']!r}: {', '.join(each.wrong)} -> {each.item.key}{weight}")


if __name__ == "__main__":
    main()
