"""Print every check of the mechanics: expected, got, source and mark.

Run with `ops/bench checks`; words after it choose subjects, such as `pins strand`. Ends
with 5 if a single check does not hold.
"""

import argparse
import sys
from collections import Counter

from tests.mechanics.checks import SUBJECTS, Check

_FAILED = 5


def main() -> None:
    """Print the tables asked for, and the count."""
    parser = argparse.ArgumentParser(prog="bench checks", description=__doc__)
    parser.add_argument(
        "words", nargs="*", help="only subjects with one of these words"
    )
    words = parser.parse_args().words
    chosen = {
        subject: checks
        for subject, checks in SUBJECTS.items()
        if not words or any(word in subject for word in words)
    }
    if not chosen:
        parser.error(f"no such subject; there are: {', '.join(SUBJECTS)}")
    lines = [line for subject in chosen.items() for line in table(*subject)]
    every = [check for checks in chosen.values() for check in checks]
    missed = [check for check in every if not check.holds(check.got())]
    sys.stdout.write("\n".join([*lines, *counted(every, missed)]) + "\n")
    sys.exit(_FAILED if missed else 0)


def table(subject: str, checks: list[Check]) -> list[str]:
    """The checks of one subject in columns."""
    rows = [row(check) for check in checks]
    widths = [max(len(line[n]) for line in [HEAD, *rows]) for n in range(len(HEAD))]
    told = [
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True))
        for line in [HEAD, ["-" * width for width in widths], *rows]
    ]
    return ["", subject.upper(), *(line.rstrip() for line in told)]


HEAD = ["check", "expected", "got", "within", "", "holds", "mark", "source"]


def row(check: Check) -> list[str]:
    """One check as its cells."""
    got = check.got()
    is_word = isinstance(check.expected, str)
    return [
        check.name,
        check.expected if is_word else f"{check.expected:.7g}",
        str(got) if is_word else f"{float(got):.7g}",
        "" if is_word else f"{check.tol:.2g}",
        check.unit,
        "yes" if check.holds(got) else "NO",
        check.mark,
        check.source,
    ]


def counted(every: list[Check], missed: list[Check]) -> list[str]:
    """How many there are, by mark, and how many do not hold."""
    marks = Counter(check.mark for check in every)
    by_mark = ", ".join(f"{count} {mark}" for mark, count in marks.most_common())
    held = f"{len(every) - len(missed)} of {len(every)} checks hold"
    return ["", f"{held}: {by_mark}.", *(f"NO: {check.name}" for check in missed)]


if __name__ == "__main__":
    main()
