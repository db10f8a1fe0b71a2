"""What falls due: rules that raise it, rounds that run, mails and calendars."""
