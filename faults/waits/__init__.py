"""What each station off central control waits on, and whose move it is."""
