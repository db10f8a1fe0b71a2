"""What programs send, without a page."""
