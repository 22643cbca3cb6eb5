"""Reads the data set of a year with engines that know nothing of us, and compares it.

Not needed by the tests. Needs duckdb (made with 2.0.1), datafusion (55.0.0) and pyarrow:

    cargo run -- year venues/football-demo.toml --year 2027 --into year
    python3 tests/reference/read_year_table.py year

Prints the number of rows and columns and the largest difference between what DuckDB and
DataFusion read and year.csv; ends with an error where a row is missing, doubled or out of
order, where a number differs by more than the CSV's rounding, where the engines differ in a
bit, where a file does not lie in its month or does not state its order, or where a query for
one month reads more than its files.
"""

import csv
import pathlib
import sys

import datafusion
import duckdb
import pyarrow
import pyarrow.parquet

folder = pathlib.Path(sys.argv[1])
FILES = str(folder / "instants/*/*/*.parquet")
ROWS = "select * from instants order by time_utc"

duck = duckdb.connect()
duck.execute("set timezone = 'UTC'")
duck.execute(
    f"create view instants as select * from read_parquet('{FILES}', hive_partitioning = true, "
    "hive_types = {'venue': varchar, 'month': varchar})"
)
table = duck.execute(ROWS).to_arrow_table().to_pylist()

context = datafusion.SessionContext()
folders = [("venue", pyarrow.string()), ("month", pyarrow.string())]
context.register_parquet("instants", str(folder / "instants"), table_partition_cols=folders)
by_fusion = pyarrow.Table.from_batches(context.sql(ROWS).collect()).to_pylist()


def plain(value):
    """Instants without the way in which an engine says UTC."""
    return value.replace(tzinfo=None) if hasattr(value, "tzinfo") else value


assert len(table) == len(by_fusion) > 0, (len(table), len(by_fusion))
for one, two in zip(table, by_fusion):
    assert set(one) == set(two), set(one) ^ set(two)
    assert all(plain(one[name]) == plain(two[name]) for name in one), (one, two)

with open(folder / "year.csv", newline="") as handle:
    rows = list(csv.DictReader(handle))
assert len(rows) == len(table), f"{len(rows)} rows of CSV, {len(table)} of Parquet"
worst = (0.0, "")
for number, (stored, told) in enumerate(zip(table, rows)):
    venue, month = stored.pop("venue"), stored.pop("month")
    assert told["local_date"].startswith(month), (number, month)
    assert set(stored) == set(told), set(stored) ^ set(told)
    for name, value in stored.items():
        text = told[name]
        if isinstance(value, float):
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
assert times == sorted(set(times)), "rows come once"

files = sorted((folder / "instants").glob("*/*/*.parquet"))
for file in files:
    # the file alone: its folders say what else there is
    part = pyarrow.parquet.ParquetFile(file)
    times = part.read(columns=["time_utc"]).column(0).to_pylist()
    assert times == sorted(set(times)), file
    assert part.metadata.row_group(0).sorting_columns[0].column_index == 0, file

inside = len([file for file in files if file.parent.name == f"month={month}"])
asked = f"select avg(field_shaded_share) from instants where month = '{month}'"
plan = duck.execute(f"explain {asked}").fetchall()[0][1]
assert len(files) == inside or f"Scanning Files: {inside}/{len(files)}" in plan, plan
print(
    f"{len(table)} rows, {len(table[0])} columns in {len(files)} files; DuckDB and DataFusion agree; "
    f"largest difference from year.csv {worst[0]:.2g} in {worst[1]}"
)
