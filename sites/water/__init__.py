"""What staying off central control costs in water: climate, schedules, the ledger, the meter."""
