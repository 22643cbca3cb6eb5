"""A piece of a BSRN month with its records' heads, for tests of the reader.

python3 tests/reference/cut_bsrn.py bsrn-pay0616.dat > tests/data/bsrn-pay0616-cut.dat

Standard library only (Python 3.13). The input is the station-to-archive file pay0616 in the
source distribution of pvlib 0.16.1 (BSD 3-clause). Kept are records 0001 and 0004 whole, of
0100 the minutes of 18 June from 06:00 to 16:59 UTC, and the head of 0300.
"""

import sys

DAY, FROM, UNTIL = "18", 6 * 60, 17 * 60


def main(path):
    lines = open(path).read().splitlines()
    at = {line: i for i, line in enumerate(lines) if line.startswith("*")}
    kept = lines[at["*U0001"] : at["*U0002"]] + lines[at["*U0004"] : at["*U0005"]] + ["*U0100"]
    for i in range(at["*U0100"] + 1, at["*U0300"], 2):
        day, minute = lines[i].split()[:2]
        if day == DAY and FROM <= int(minute) < UNTIL:
            kept += lines[i : i + 2]
    print("\n".join(kept + ["*U0300"]))


main(sys.argv[1])
