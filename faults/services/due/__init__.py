"""What falls due: rules that raise follow-ups, and the verbs with which people handle them."""
