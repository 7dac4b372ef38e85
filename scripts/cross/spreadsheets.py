"""Workbooks by other programs are read right, and other programs read ours.

Source: openpyxl and LibreOffice (versions printed), as independent writers and readers.
"""

import json
import os
import subprocess
import tempfile
from pathlib import Path

import openpyxl

PLIMSOLL = os.environ["PLIMSOLL"]
ROWS = [("Ada Reed", "14.3", 560), ("Bo Fir", "15.1", 800), ("Cy Elm", "16.4", 1240), ("Di Ash", "14.8", 760)]


def run(*args, allowed=(0,)):
    out = subprocess.run([PLIMSOLL, *map(str, args)], capture_output=True, text=True)
    assert out.returncode in allowed, (args, out.returncode, out.stdout, out.stderr)
    return out.stdout


def office(folder, *args):
    out = subprocess.run(["soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless", *map(str, args)],
                         capture_output=True, text=True, cwd=folder, timeout=180)
    assert out.returncode == 0, out.stderr
    return out.stdout


def write(path, labels_as_text=True):
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Results"
    sheet.append(["Name", "Level", "Distance (m)", "Why stopped"])
    for name, label, metres in ROWS:
        sheet.append([name, label if labels_as_text else float(label), metres, "misses"])
    book.save(path)


def examined(path):
    return json.loads(run("--archive", path.parent / "none", "examine", path, "--test", "ir1", "--json", allowed=(0, 1)))


def reading(folder):
    source = folder / "written.xlsx"
    write(source)
    report = examined(source)
    assert report["rows"] == len(ROWS) and report["findings"] == [], report["findings"]
    assert report["ladders"][0]["id"] == "ir1"
    office(folder, "--convert-to", "ods", source)
    report = examined(folder / "written.ods")
    assert report["rows"] == len(ROWS) and report["findings"] == [], report["findings"]
    # A label typed as a number is the number a spreadsheet made of it; here it still names its bout.
    numbers = folder / "numbers.xlsx"
    write(numbers, labels_as_text=False)
    report = examined(numbers)
    assert report["ladders"][0]["id"] == "ir1"


def writing(folder):
    out = folder / "demo-out"
    run("demo", "--out", out)
    books = list((out / "report").glob("*.xlsx"))
    assert len(books) == 1, books
    book = openpyxl.load_workbook(books[0])
    sheet = book.worksheets[0]
    head_row = next(r for r in range(1, 30) if any(str(c.value).lower().startswith("label") for c in sheet[r]))
    column = next(c.column for c in sheet[head_row] if str(c.value).lower().startswith("label"))
    labels = [sheet.cell(r, column).value for r in range(head_row + 1, sheet.max_row + 1)]
    labels = [v for v in labels if v is not None]
    assert len(labels) >= 20, labels
    assert all(isinstance(v, str) for v in labels), labels
    formulas = [c.coordinate for s in book for row in s for c in row if c.data_type == "f"]
    assert formulas == [], formulas
    office(folder, "--convert-to", "csv", books[0])
    text = (folder / (books[0].stem + ".csv")).read_text(encoding="utf-8", errors="replace")
    for label in labels:
        assert label in text, label
    office(folder, "--convert-to", "pdf", books[0])
    assert (folder / (books[0].stem + ".pdf")).stat().st_size > 5000
    return len(labels)


def main():
    version = subprocess.run(["soffice", "--version"], capture_output=True, text=True).stdout.strip()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        reading(folder)
        n = writing(folder)
    print(f"openpyxl {openpyxl.__version__} and {version}: read and written; {n} labels stayed text")


main()
