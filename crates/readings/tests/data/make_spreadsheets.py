"""Writes signature.xlsx and signature.ods: the same small invented recording as two spreadsheets.

To write them anew: python make_spreadsheets.py, with openpyxl and odfpy installed.
"""

import math
import pathlib

from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P
from openpyxl import Workbook

HEAD = ("Invented recording", None), ("Slide height [mm]", "Force [kN]")


def rows():
    """Two strokes of 100 mm; between 3 and 2 mm on the way down 50 kN."""
    for step in range(400):
        turn = math.tau * step / 200 - math.pi
        height = 50 * (1 - math.cos(turn))
        down = (step % 200) < 100
        yield round(height, 4), 50.5 if down and 2 < height < 3 else 0.5


def main():
    folder = pathlib.Path(__file__).parent
    book = Workbook()
    sheet = book.active
    sheet.title = "Press"
    for row in HEAD:
        sheet.append(row)
    for row in rows():
        sheet.append(row)
    book.save(folder / "signature.xlsx")

    book = OpenDocumentSpreadsheet()
    table = Table(name="Press")
    for row in [*HEAD, *rows()]:
        line = TableRow()
        for cell in row:
            if isinstance(cell, float):
                line.addElement(TableCell(valuetype="float", value=cell))
            elif cell:
                text = TableCell(valuetype="string")
                text.addElement(P(text=cell))
                line.addElement(text)
            else:
                line.addElement(TableCell())
        table.addElement(line)
    book.spreadsheet.addElement(table)
    book.save(folder / "signature.ods")


main()
