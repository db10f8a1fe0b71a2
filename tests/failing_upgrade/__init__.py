"""An app whose only migration breaks: an upgrade with it has to find the way back."""
