"""The peer for the import: the same sheet read with pandas, labels checked against their distances on the
ladder, people matched by name, duplicates looked for, every row with its digest written to SQLite."""

import hashlib
import json
import sqlite3
import sys

import pandas

from ladder_table import ladder

sheet, roster, database = sys.argv[1:4]
people = pandas.read_csv(roster, dtype=str)
ids = {name: i for i, name in enumerate(people["Name"])}
rows = pandas.read_csv(sheet, dtype={"Level": str, "Distance (m)": int, "Name": str, "Why stopped": str})
digest = hashlib.sha256(open(sheet, "rb").read()).hexdigest()
table = ladder()
bout = rows["Level"].map(lambda label: table.get(label, (None, None))[0])
metres = rows["Level"].map(lambda label: table.get(label, (None, None))[1])
good = bout.notna() & (metres == rows["Distance (m)"]) & rows["Name"].isin(ids)
good &= ~rows.duplicated(["Name", "Date"], keep=False)
pandas.to_datetime(rows["Date"], format="%Y-%m-%d")
db = sqlite3.connect(database)
db.execute("PRAGMA journal_mode=WAL")
db.execute("PRAGMA synchronous=FULL")
db.execute("CREATE TABLE source(id INTEGER PRIMARY KEY, file TEXT, row INTEGER, written TEXT, sha256 TEXT)")
db.execute("CREATE TABLE result(id INTEGER PRIMARY KEY, person INTEGER, day TEXT, bouts INTEGER, reason TEXT, source INTEGER)")
taken = rows[good]
written = [json.dumps(r) for r in taken.to_dict("records")]
with db:
    db.executemany("INSERT INTO source VALUES (?,?,?,?,?)",
                   ((i, digest, int(n) + 2, w, hashlib.sha256(w.encode()).hexdigest()) for i, (n, w) in enumerate(zip(taken.index, written))))
    db.executemany("INSERT INTO result VALUES (?,?,?,?,?,?)",
                   ((i, ids[n], d, int(b), r, i) for i, (n, d, b, r) in
                    enumerate(zip(taken["Name"], taken["Date"], bout[good], taken["Why stopped"]))))
print(f"{int(good.sum())} taken, {int((~good).sum())} held; pandas {pandas.__version__}")
