"""Write the register as the very sheets that loading reads, so that either undoes the other.

`cells` turns stored values into cells, `sheets` lists what each sheet holds, `ground`,
`stations` and `standing` gather the rows, `writing` makes lines, a packed folder or a workbook
of them. The columns are those of `sites.load.services.sheets`: one table for both ways.
"""
