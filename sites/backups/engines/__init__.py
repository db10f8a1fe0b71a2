"""An archive that says what it holds, and notices when that is no longer so."""
