"""How a report comes to be.

`asking` says what is asked, `composing` makes the document of it from the parts (`off_part`,
`faults_part`, …), `drafting` does so in a background run, `issuing` gives it its number and
keeps it, `checking` compares what was issued with the records, `series` makes it by rule.
"""
