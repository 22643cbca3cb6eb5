"""Minutes of the even days of June 2016 at Payerne, for tests of broken cloud.

python3 tests/reference/make_minutes.py bsrn-payerne-2016-06-even-days.csv \
    > tests/data/bsrn-payerne-2016-06-minutes.csv

Standard library only (Python 3.13). The input is the basic file pay0616 of the Baseline
Surface Radiation Network as carried by the test data of pvlib 0.16.1 (BSD 3-clause), even
days, minutes with the sun up; here without the columns that the tests do not read. Values
that are missing there are empty here.
"""

import csv
import sys

KEPT = ["time_utc", "ghi", "ghi_max", "dni", "dhi"]


def main(path):
    with open(path, newline="") as file:
        first = file.readline()
        rows = csv.DictReader(file)
        out = csv.writer(sys.stdout, lineterminator="\n")
        sys.stdout.write(first.split(" (mean,")[0] + "; global (mean and most of the minute), ")
        sys.stdout.write("direct normal, diffuse. Basic file pay0616, network: Baseline Surface ")
        sys.stdout.write("Radiation Network, as carried by pvlib 0.16.1 (BSD-3-Clause).\n")
        out.writerow(KEPT)
        out.writerows([row[name] for name in KEPT] for row in rows)


main(sys.argv[1])
