"""Jobs, crews and the board: who goes when, what a visit lacks, what it was."""
