"""Reads the data set of a league with two engines that know nothing of us.

Not needed by the tests. Needs duckdb (made with 2.0.1), datafusion (55.0.0) and pyarrow:

    cargo run -- league venues/football-demo.toml venues/tennis-demo.toml --year 2027 --into league
    python3 tests/reference/read_league.py league

The same with weather (--grounds or --odds), whose sums are compared as well. Ends with an error where DuckDB, DataFusion and league.csv do not count the same days in
the same light, where rows are not in the order that the files state, or where a query for
one part reads more than its file.
"""

import csv
import pathlib
import sys

import datafusion
import duckdb
import pyarrow
import pyarrow.parquet

folder = pathlib.Path(sys.argv[1])
FILES = str(folder / "starts/*/*/*.parquet")
SUMS = """
    select venue, cast(right(month, 2) as int) as m, start_min,
        count(*) as days,
        sum(case when light = 'good' then 1 else 0 end) as good,
        sum(case when light = 'fair' then 1 else 0 end) as fair,
        sum(case when light = 'hard' then 1 else 0 end) as hard,
        avg(cost) as cost, avg(10 * good_share) as good_in_ten, avg(sun_share) as sun,
        avg(expected_cost) as expected
    from starts group by venue, cast(right(month, 2) as int), start_min order by 1, 2, 3
"""

duck = duckdb.connect()
duck.execute(
    f"create view starts as select * from read_parquet('{FILES}', hive_partitioning = true, "
    "hive_types = {'venue': varchar, 'month': varchar})"
)
by_duck = duck.execute(SUMS).fetchall()

context = datafusion.SessionContext()
folders = [("venue", pyarrow.string()), ("month", pyarrow.string())]
context.register_parquet("starts", str(folder / "starts"), table_partition_cols=folders)
table = pyarrow.Table.from_batches(context.sql(SUMS).collect())
by_fusion = [tuple(row.values()) for row in table.to_pylist()]


def close(one, two):
    return all(
        abs(a - b) < 1e-9 if isinstance(a, float) else a == b for a, b in zip(one, two, strict=True)
    )


assert len(by_duck) == len(by_fusion) > 0
assert all(close(one, two) for one, two in zip(by_duck, by_fusion)), "the engines differ"

with open(folder / "league.csv", newline="") as handle:
    told = list(csv.DictReader(handle))
assert len(told) == len(by_duck), (len(told), len(by_duck))
# league.csv has titles in the order of the command, folders have names of files
minutes = lambda clock: int(clock[:2]) * 60 + int(clock[3:])
COUNTS = ("days", "good", "fair", "hard")
# half of the last decimal of the CSV
MEANS = {"mean_cost": 5e-4, "good_days_in_ten": 5e-3, "sun_share": 5e-5, "mean_expected_cost": 5e-4}
ours = [
    (int(r["month"]), minutes(r["start"]), *(int(r[name]) for name in COUNTS),
     *(float(r[name]) if r[name] else None for name in MEANS))
    for r in told
]
theirs = [row[1:] for row in by_duck]
# by what the CSV shows of each
DECIMALS = (3, 2, 4, 3)
shown = lambda row: (*row[:6], *(-1.0 if v is None else round(v, d) for v, d in zip(row[6:], DECIMALS)))
ours.sort(key=shown)
theirs.sort(key=shown)
for one, two in zip(ours, theirs, strict=True):
    assert one[:6] == two[:6], (one, two)
    for a, b, half in zip(one[6:], two[6:], MEANS.values(), strict=True):
        assert a is b is None or abs(a - b) <= half * 1.0002, (one, two)

for file in sorted((folder / "starts").glob("*/*/*.parquet")):
    # the file alone: its folders say what else there is
    part = pyarrow.parquet.ParquetFile(file)
    times = part.read(columns=["start_utc"]).column(0).to_pylist()
    assert times == sorted(set(times)), file
    assert part.metadata.row_group(0).sorting_columns[0].column_index == 1, file

venue, month = by_duck[0][0], duck.execute("select min(month) from starts").fetchone()[0]
parts = len(list((folder / "starts").glob("*/*/*.parquet")))
asked = f"select avg(cost) from starts where venue = '{venue}' and month = '{month}'"
plan = duck.execute(f"explain {asked}").fetchall()[0][1]
assert f"Scanning Files: 1/{parts}" in plan, plan
print(f"{sum(row[3] for row in by_duck)} rows of {parts} parts; "
      "DuckDB, DataFusion and league.csv agree")
