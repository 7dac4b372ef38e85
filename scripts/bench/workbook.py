"""The peer for the workbook: 30 athletes with results, change and sources written by openpyxl."""

import sys

import openpyxl
from openpyxl.styles import Font

book = openpyxl.Workbook()
for title, columns in [("Results", 12), ("Change", 12), ("Held back", 5), ("How", 4)]:
    sheet = book.active if title == "Results" else book.create_sheet()
    sheet.title = title
    sheet.append([f"column {c}" for c in range(columns)])
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    sheet.freeze_panes = "A2"
    for r in range(30):
        sheet.append([f"athlete {r}", "14.10"] + [r * 40 + c / 3 for c in range(columns - 2)])
    for c in range(columns):
        sheet.column_dimensions[openpyxl.utils.get_column_letter(c + 1)].width = 18
book.save(sys.argv[1])
print(openpyxl.__version__)
