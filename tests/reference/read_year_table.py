"""Reads the table of a year with an engine that knows nothing of us, and compares it.

Not needed by the tests. Needs pyarrow (made with 26.0.1):

    cargo run -- year venues/football-demo.toml --year 2027 --into year
    python3 tests/reference/read_year_table.py year

Prints the number of rows and columns and the largest difference between the Parquet
files and year.csv; ends with an error where a row is missing, doubled or out of order,
or a number differs by more than the CSV's rounding.
"""

import csv
import pathlib
import sys

import pyarrow.dataset as dataset

folder = pathlib.Path(sys.argv[1])
files = sorted(str(path) for path in folder.glob("days-*.parquet"))
table = dataset.dataset(files, format="parquet").to_table().to_pylist()
with open(folder / "year.csv", newline="") as handle:
    rows = list(csv.DictReader(handle))
assert len(rows) == len(table), f"{len(rows)} rows of CSV, {len(table)} of Parquet"

worst = (0.0, "")
for number, (stored, told) in enumerate(zip(table, rows)):
    assert set(stored) == set(told), set(stored) ^ set(told)
    for name, value in stored.items():
        text = told[name]
        if isinstance(value, bool):
            assert text == str(value).lower(), (number, name, value, text)
        elif isinstance(value, float):
            # rounded to as many places as the CSV shows
            places = len(text.partition(".")[2])
            gap = abs(value - float(text))
            assert gap <= 0.5 * 10.0**-places + 1e-6 * abs(value), (number, name, value, text)
            worst = max(worst, (gap, name))
        elif value is None:
            assert text == "", (number, name, text)
        else:
            written = str(value).replace(" ", "T")
            assert text.startswith(written[:19].removesuffix("+00:00")), (number, name, value, text)
times = [row["time_utc"] for row in table]
assert times == sorted(set(times)), "rows are in order and come once"
print(f"{len(table)} rows, {len(table[0])} columns, largest difference {worst[0]:.2g} in {worst[1]}")
