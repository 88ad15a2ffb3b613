"""Run every row, write the report: `python -m validation [--out DIR] [--rows T04,T12]`."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from validation.checks import all_rows, not_run, run_check
from validation.report import summary, write_report


def main(arguments: list[str] | None = None) -> int:
    """Run the rows and write the report; 1 if any row missed, 2 if a row is not known."""
    parser = argparse.ArgumentParser(prog="python -m validation", description=__doc__)
    parser.add_argument("--out", type=Path, default=Path("validation-report"), metavar="DIR")
    parser.add_argument("--rows", default="", metavar="ID,...", help="these rows only")
    given = parser.parse_args(arguments)
    rows, left_out = list(all_rows()), not_run()
    wanted = [key.strip() for key in given.rows.split(",") if key.strip()]
    if wanted:
        unknown = set(wanted) - {row.id for row, *_ in rows}
        if unknown:
            parser.error(f"no such rows: {', '.join(sorted(unknown))}")
        rows, left_out = [r for r in rows if r[0].id in wanted], []
    checks = []
    for row, compute, library in rows:
        checks.append(check := run_check(row, compute, library))
        missed = [line for line in check.lines if not line.passed]
        print(f"{row.id}  {'miss' if missed else 'pass'}  {row.title}")
        for line in missed:
            print(f"      {line.what}: {line.got:.7g}, expected {line.expected:.7g} {line.unit}")
        if check.skipped:
            print(f"      {check.skipped}")
    write_report(given.out, checks, left_out)
    print(f"Report: {given.out / 'report.html'}, {given.out / 'report.md'}")
    print(summary(checks, left_out))
    return 0 if all(check.passed for check in checks) else 1


if __name__ == "__main__":
    sys.exit(main())
