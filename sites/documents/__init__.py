"""A document as a page, a PDF and a workbook.

One typed source (`engines/document.py`) is all that the three are made of: a figure is written
once, as words and as the number that these words show, so that page, PDF and workbook cannot
differ. What a document says is composed by the rooms above; this room knows of no subject.

The PDF is set by Typst, from its wheel alone: fonts are in it, nothing is asked of the system or
the network, and its PDFs are tagged. A document reaches it as data (JSON) that a fixed template
reads, so that no text of a user is ever markup. WeasyPrint would need Pango of the system, which
a machine with Python only does not have. Measured with 0.15.2 on two cores that were shared with
other work: the wheel unpacks to 81 MB; a report of nine pages is set in 0.3 s; 217 pages with 180
charts and 7,200 rows in 5 s and 353 MB (`tests/services/documents/long_pdf.py`).
"""
