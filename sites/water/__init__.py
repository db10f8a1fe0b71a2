"""What staying off central control costs: climate, schedules, ledger, meter."""
