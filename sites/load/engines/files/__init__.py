"""Files of strangers become rows of cells, or are refused with a reason.

A small file can ask for any amount of memory: one cell in the last row of a workbook is enough.
So `python -m sites.load.engines.files` reads one in a process of its own, with limits on memory and
time. It imports the readers and nothing else of the project: whatever happens to it, the process
that asked for it lives on and has a reason to show. `plain` is what the two send each other.
"""
