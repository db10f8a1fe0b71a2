"""Jobs, crews and the board: who goes when, what each visit lacks, and what it was."""
