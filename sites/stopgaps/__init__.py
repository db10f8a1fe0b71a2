"""What stands in for a wire, and the days off central control that follow."""
